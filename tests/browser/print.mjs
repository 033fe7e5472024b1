// Prints a sitter's sheet on A4 and on US Letter and looks at the paper: how many pages, what stands on which, that
// nothing is wider than the page, and that no letter is smaller than 12 points.
//
// Usage: node print.mjs SHEET [BROWSER] [PAGES]
//
// The first page must end with what is never done, the second with the last case, and the third must be the plan: so
// "the visit" and "when it isn't normal" are one page each. PAGES is the most that the whole may take.

import { execFileSync } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { startBrowser } from "./browser.mjs";

const sheet = path.resolve(process.argv[2] ?? "example-tank/out/sitter/sheet.html");
const browserPath = process.argv[3];
const mostPages = Number(process.argv[4] ?? 20);
const paper = fs.mkdtempSync(path.join(os.tmpdir(), "polypary-print-"));
const { browser, stop } = await startBrowser(browserPath);
const complaints = [];
const complain = (what) => {
  complaints.push(what);
  console.error(`${path.basename(sheet)}: ${what}`);
};

// Runs in the page. A letter of a drawing is as large as its font times the scale of the drawing.
function lookAtType() {
  const found = { small: [], wide: [], headings: [] };
  const least = (12 * 96) / 72;
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const text = walker.currentNode.textContent.trim();
    const element = walker.currentNode.parentElement;
    if (!text || element.closest("style")) continue;
    let size = parseFloat(getComputedStyle(element).fontSize);
    if (element instanceof SVGElement) size *= element.getScreenCTM().a;
    if (size < least - 0.05) found.small.push(`${(size * 72) / 96} pt: ${text.slice(0, 40)}`);
    const box = element.getBoundingClientRect();
    if (!(element instanceof SVGElement) && box.right > document.documentElement.clientWidth + 1) {
      found.wide.push(text.slice(0, 40));
    }
  }
  found.lastNever = [...document.querySelectorAll(".never li")].at(-1).textContent.trim();
  found.cases = [...document.querySelectorAll(".case .stop")].map((stop) => stop.textContent.trim());
  found.plan = document.getElementById("plan").textContent.trim();
  return found;
}

// A number in a circle is set with air, also before a comma.
const words = (text) => text.replace(/\s+/g, " ").replace(/ ,/g, ",");
try {
  for (const [format, across] of [["A4", 210], ["Letter", 215.9]]) {
    const page = await browser.newPage();
    await page.setJavaScriptEnabled(true);
    await page.emulateMediaType("print");
    // Paper less its margins of 10 mm, at 96 pixels an inch.
    await page.setViewport({ width: Math.floor(((across - 20) / 25.4) * 96), height: 1000 });
    await page.goto(pathToFileURL(sheet).href, { waitUntil: "load" });
    const seen = await page.evaluate(lookAtType);
    for (const small of seen.small) complain(`${format}: smaller than 12 pt: ${small}`);
    for (const wide of seen.wide) complain(`${format}: wider than the paper: ${wide}`);
    const pdf = path.join(paper, `${format}.pdf`);
    await page.pdf({ path: pdf, format });
    await page.close();
    const pages = Number(/Pages:\s+(\d+)/.exec(execFileSync("pdfinfo", [pdf], { encoding: "utf8" }))[1]);
    if (pages > mostPages) complain(`${format}: ${pages} pages, ${mostPages} at most`);
    const textOf = (number) => {
      // In the order in which it is written: read as it lies, a line that wraps is mixed with the column beside it.
      const range = ["-raw", "-f", String(number), "-l", String(number)];
      return words(execFileSync("pdftotext", [...range, pdf, "-"], { encoding: "utf8" }));
    };
    const [first, second, third] = [1, 2, 3].map(textOf);
    if (!first.includes(words(seen.lastNever))) complain(`${format}: the visit does not end on page 1`);
    const lost = seen.cases.filter((stop) => !second.includes(words(stop)));
    if (lost.length > 0) complain(`${format}: not on page 2: ${lost.join(" / ")}`);
    if (!third.startsWith(words(seen.plan))) complain(`${format}: page 3 begins with: ${third.slice(0, 60)}`);
    console.log(`${format}: ${pages} pages`);
  }
} finally {
  await stop();
  fs.rmSync(paper, { recursive: true, force: true });
}
process.exitCode = complaints.length > 0 ? 1 : 0;
