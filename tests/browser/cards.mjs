// Prints every card of a journal as its style sheet asks and looks at the paper: A6, front and back at most, no letter
// smaller than 7 points, nothing wider than the paper, no heading without what it heads, and all of the text there.
//
// Usage: node cards.mjs JOURNAL [BROWSER]

import { execFileSync } from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import { pathToFileURL } from "node:url";
import { startBrowser } from "./browser.mjs";

const folder = path.join(path.resolve(process.argv[2] ?? "example-tank/out/journal"), "card");
const paper = fs.mkdtempSync(path.join(os.tmpdir(), "polypary-cards-"));
const { browser, stop } = await startBrowser(process.argv[3]);
const complaints = [];

// A6 is 105 mm by 148 mm (ISO 216); a printer's points are 1/72 of an inch, and browsers round to their pixels.
const A6 = [105, 148].map((side) => (side / 25.4) * 72);
const SMALLEST = 7;
const MARGIN = 7;

// Runs in the page.
function lookAtType(least) {
  const found = { small: [], wide: [], headings: [], text: document.querySelector("main").innerText };
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const text = walker.currentNode.textContent.trim();
    const element = walker.currentNode.parentElement;
    if (!text || element.closest("style")) continue;
    const points = (parseFloat(getComputedStyle(element).fontSize) * 72) / 96;
    if (points < least - 0.01) found.small.push(`${points} pt: ${text.slice(0, 40)}`);
    if (element.getBoundingClientRect().right > document.documentElement.clientWidth + 1) found.wide.push(text.slice(0, 40));
  }
  found.headings = [...document.querySelectorAll("h2")].map((heading) => heading.innerText);
  return found;
}

// A hyphen at the end of a line is lost when text is read from paper.
const letters = (text) => text.replace(/[\s-]+/g, "");
try {
  const names = fs.readdirSync(folder).filter((name) => name.endsWith(".html")).sort();
  if (names.length === 0) complaints.push(`no card in ${folder}`);
  for (const name of names) {
    const complain = (what) => complaints.push(`${name}: ${what}`);
    const page = await browser.newPage();
    await page.emulateMediaType("print");
    await page.setViewport({ width: Math.floor(((105 - 2 * MARGIN) / 25.4) * 96), height: 600 });
    await page.goto(pathToFileURL(path.join(folder, name)).href, { waitUntil: "load" });
    const seen = await page.evaluate(lookAtType, SMALLEST);
    for (const small of seen.small) complain(`smaller than ${SMALLEST} pt: ${small}`);
    for (const wide of seen.wide) complain(`wider than the paper: ${wide}`);
    const pdf = path.join(paper, "card.pdf");
    await page.pdf({ path: pdf, preferCSSPageSize: true });
    await page.close();
    const told = execFileSync("pdfinfo", [pdf], { encoding: "utf8" });
    const size = /Page size:\s+([\d.]+) x ([\d.]+)/.exec(told).slice(1).map(Number);
    if (size.some((side, place) => Math.abs(side - A6[place]) > 1)) complain(`${size.join(" by ")} points, A6 is wanted`);
    const pages = Number(/Pages:\s+(\d+)/.exec(told)[1]);
    if (pages > 2) complain(`${pages} pages, front and back are two`);
    const sides = Array.from({ length: pages }, (_, place) => {
      const range = ["-f", String(place + 1), "-l", String(place + 1)];
      return execFileSync("pdftotext", [...range, pdf, "-"], { encoding: "utf8" }).trim();
    });
    for (const side of sides) {
      const last = side.split("\n").at(-1).trim();
      if (seen.headings.includes(last)) complain(`a side ends with the heading “${last}”`);
    }
    // Words may be parted at the ends of lines, and facts come in another order.
    const printed = letters(sides.join(""));
    for (const word of new Set(seen.text.split(/\s+/))) {
      if (word && !printed.includes(letters(word))) complain(`not on the paper: ${word}`);
    }
  }
  console.log(`${names.length} cards printed on A6, ${complaints.length} complaints`);
} finally {
  await stop();
  fs.rmSync(paper, { recursive: true, force: true });
}
for (const complaint of complaints) console.error(complaint);
process.exitCode = complaints.length > 0 ? 1 : 0;
