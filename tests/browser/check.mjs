// Opens pages of a written journal from disk and looks at what a browser says of them: nothing wider than the window,
// nothing on the console, no request that leaves the folder, no violation of the accessibility rules, and a print.
//
// Usage: node check.mjs EDITION [BROWSER] [LOOK ..]
//
// A look is a width, a scheme and perhaps one thing a reader asks of the browser: `360:dark`, `1280:light:more-contrast`,
// `360:dark:forced-colors`.

import fs from "node:fs";
import path from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";
import { startBrowser } from "./browser.mjs";
import { onePageOfEachKind } from "./kinds.mjs";

const edition = path.resolve(process.argv[2] ?? "example-tank/out/journal");
const browserPath = process.argv[3];
const here = path.dirname(fileURLToPath(import.meta.url));
const axeSource = fs.readFileSync(path.join(here, "node_modules/axe-core/axe.min.js"), "utf8");
const asked = process.argv.slice(4);
const looks = asked.length > 0 ? asked : ["360:light", "1280:light", "360:dark", "1280:dark"];
const wishes = {
  "more-contrast": { name: "prefers-contrast", value: "more" },
  "forced-colors": { name: "forced-colors", value: "active" },
};

function readLook(text) {
  const [width, scheme, wish] = text.split(":");
  if (!(Number(width) > 0) || !["light", "dark"].includes(scheme) || (wish && !wishes[wish])) {
    throw new Error(`no look is called ${text}`);
  }
  const features = [{ name: "prefers-color-scheme", value: scheme }];
  if (wish) features.push(wishes[wish]);
  return { text, width: Number(width), features };
}

// Kinds that the journal of a record with photos, two years and promises must hold.
const mustBeThere = ["looking-back.html", "promises.html", "photo/index.html", "photo/*", "year/*", "compare/*"];

const { browser, stop } = await startBrowser(browserPath);

const complaints = [];
let looked = 0;
const pages = onePageOfEachKind(edition);

async function open(full, look, scripts) {
  const page = await browser.newPage();
  const name = path.relative(edition, full);
  const complain = (what) => {
    complaints.push(what);
    console.error(`${name} at ${look.text}: ${what}`);
  };
  page.on("console", (message) => complain(`console: ${message.text()}`));
  page.on("pageerror", (error) => complain(`script error: ${error.message}`));
  page.on("requestfailed", (request) => complain(`request failed: ${request.url()}`));
  page.on("request", (request) => {
    const address = request.url();
    const inside = address.startsWith(pathToFileURL(edition).href) || address.startsWith("data:");
    if (!inside) complain(`asks for ${address}, outside its folder`);
  });
  await page.setJavaScriptEnabled(scripts);
  await page.setViewport({ width: look.width, height: 900 });
  // The driver's own call knows fewer features than the browser.
  const session = await page.createCDPSession();
  await session.send("Emulation.setEmulatedMedia", { features: look.features });
  await page.goto(pathToFileURL(full).href, { waitUntil: "load", timeout: 120_000 });
  return { page, complain };
}

// The driver can look at a page whose own scripts are off; the page itself cannot run any.
async function lookAtLayout(full, look) {
  const { page, complain } = await open(full, look, false);
  const wide = await page.evaluate(() => {
    const root = document.documentElement;
    const over = root.scrollWidth - root.clientWidth;
    if (over <= 0) return null;
    const guilty = [...document.body.querySelectorAll("*")]
      .filter((element) => element.getBoundingClientRect().right > root.clientWidth + 1)
      .slice(0, 3)
      .map((element) => `${element.tagName.toLowerCase()}.${element.getAttribute("class") ?? ""}`);
    return `${over} px too wide, by ${guilty.join(", ")}`;
  });
  if (wide) complain(wide);
  await page.close();
}

async function lookAtAccess(full, look) {
  const { page, complain } = await open(full, look, true);
  await page.evaluate(axeSource);
  const violations = await page.evaluate(async () => {
    const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
    const runOnly = { type: "tag", values: tags };
    // Without preload the rules leave the style sheets alone, which a browser does not let a script fetch from a disk.
    const found = await window.axe.run(document, { runOnly, resultTypes: ["violations"], preload: false });
    return found.violations.map((violation) => {
      const first = violation.nodes[0];
      return `${violation.id} (${violation.nodes.length} times): ${first.html.slice(0, 200)} ${first.failureSummary ?? ""}`;
    });
  });
  violations.forEach(complain);
  await page.close();
}

try {
  if (!fs.existsSync(path.join(edition, "index.html"))) throw new Error(`no journal in ${edition}`);
  const kinds = new Set(pages.map(({ kind }) => kind));
  for (const kind of mustBeThere.filter((kind) => !kinds.has(kind))) {
    complaints.push(kind);
    console.error(`no page of the kind ${kind}`);
  }
  for (const { full } of pages) {
    for (const look of looks.map(readLook)) {
      await lookAtLayout(full, look);
      await lookAtAccess(full, look);
      looked += 1;
    }
  }
  const { page, complain } = await open(path.join(edition, "index.html"), readLook("1280:light"), false);
  const printed = await page.pdf({ format: "A4" });
  if (Buffer.from(printed.slice(0, 5)).toString() !== "%PDF-") complain("printing gave no PDF");
  await page.close();
} finally {
  await stop();
}

console.log(`${pages.length} kinds of page, ${looked} looks, ${complaints.length} complaints`);
process.exitCode = complaints.length === 0 ? 0 : 1;
