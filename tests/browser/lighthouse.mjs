// What Lighthouse says of an edition served on this machine, read on its telephone: accessibility, best practices and findability
// must have their full mark on the front page and on the longest page of each of the heaviest kinds. Its mark for speed is
// printed, not asked for: it is a measurement, and depends on the machine.
//
// Usage: node lighthouse.mjs JOURNAL [BROWSER] [PAGE ..]

import fs from "node:fs";
import http from "node:http";
import path from "node:path";
import zlib from "node:zlib";
import lighthouse from "lighthouse";
import { startBrowser } from "./browser.mjs";
import { onePageOfEachKind } from "./kinds.mjs";

const edition = path.resolve(process.argv[2] ?? "example-tank/out/journal");
const HEAVIEST = 8;
const FULL = ["accessibility", "best-practices", "seo"];
const TYPES = {
  ".html": "text/html; charset=utf-8",
  ".css": "text/css",
  ".svg": "image/svg+xml",
  ".jpg": "image/jpeg",
  ".webp": "image/webp",
  ".png": "image/png",
  ".xml": "application/xml",
  ".txt": "text/plain; charset=utf-8",
};

// Serves the folder as any host of static pages does: texts compressed, for those who can read them so.
const server = http.createServer((request, response) => {
  const asked = decodeURIComponent(new URL(request.url, "http://localhost").pathname);
  const file = path.join(edition, asked.endsWith("/") ? `${asked}index.html` : asked);
  if (!file.startsWith(edition + path.sep) || !fs.existsSync(file)) {
    response.writeHead(404).end();
    return;
  }
  const type = TYPES[path.extname(file)] ?? "application/octet-stream";
  const body = fs.readFileSync(file);
  const squeeze = /text|svg|xml/.test(type) && /gzip/.test(request.headers["accept-encoding"] ?? "");
  response.writeHead(200, { "content-type": type, ...(squeeze ? { "content-encoding": "gzip" } : {}) });
  response.end(squeeze ? zlib.gzipSync(body) : body);
});
await new Promise((ready) => server.listen(0, "127.0.0.1", ready));

const heaviest = onePageOfEachKind(edition)
  .sort((a, b) => b.size - a.size)
  .slice(0, HEAVIEST)
  .map(({ full }) => path.relative(edition, full));
const asked = process.argv.slice(4);
const pages = asked.length > 0 ? asked : [...new Set(["index.html", ...heaviest])];

const { browser, stop } = await startBrowser(process.argv[3]);
let complaints = 0;
for (const name of pages) {
  const page = await browser.newPage();
  const address = `http://127.0.0.1:${server.address().port}/${name}`;
  const { lhr } = await lighthouse(address, { output: "json", logLevel: "silent" }, undefined, page);
  await page.close();
  const marks = Object.entries(lhr.categories).map(([key, { score }]) => `${key} ${Math.round(score * 100)}`);
  console.log(`${name}: ${marks.join(", ")}`);
  if (lhr.runtimeError) {
    complaints += 1;
    console.error(`${name}: ${lhr.runtimeError.message}`);
  }
  for (const category of FULL) {
    for (const { id, weight } of lhr.categories[category].auditRefs) {
      const { score, title, details } = lhr.audits[id];
      if (weight === 0 || score === null || score === 1) continue;
      complaints += 1;
      console.error(`${name}: ${category}: ${title}: ${JSON.stringify(details?.items?.slice(0, 3) ?? [])}`);
    }
  }
}
await stop();
server.close();
console.log(`${pages.length} pages, ${complaints} complaints`);
process.exit(complaints || !pages.length ? 1 : 0);
