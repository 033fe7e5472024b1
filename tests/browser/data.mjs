// Holds the JSON-LD of every page against schema.org's own list of types, properties and what each may hold, as schema-dts
// writes it down: TypeScript reads the data as values of those types and complains of what is not one.
//
// Usage: node data.mjs JOURNAL

import fs from "node:fs";
import path from "node:path";
import ts from "typescript";

const journal = path.resolve(process.argv[2] ?? "example-tank/out/journal");
const here = import.meta.dirname;

// What a value is made of, whatever it says: pages of one shape need one look.
function shape(value) {
  if (Array.isArray(value)) return `[${[...new Set(value.map(shape))].sort()}]`;
  if (value === null || typeof value !== "object") return typeof value;
  const inner = Object.entries(value).map(([key, held]) => `${key}:${key.startsWith("@") && key !== "@id" ? JSON.stringify(held) : shape(held)}`);
  // "@graph" holds nodes, whose shapes count as any others do.
  return `{${value["@graph"] ? shape(value["@graph"]) : inner.sort()}}`;
}

const looked = new Map();
let pages = 0;
for (const found of fs.readdirSync(journal, { recursive: true }).sort()) {
  if (!found.endsWith(".html")) continue;
  const text = fs.readFileSync(path.join(journal, found), "utf8");
  for (const [, data] of text.matchAll(/<script type="application\/ld\+json">(.*?)<\/script>/gs)) {
    pages += 1;
    const value = JSON.parse(data);
    if (!looked.has(shape(value))) looked.set(shape(value), { page: found, value });
  }
}
const shapes = [...looked.values()];
const lines = shapes.map(({ value }, index) => `export const data${index}: Graph = ${JSON.stringify(value)};`);
const source = ['import type { Graph } from "schema-dts";', ...lines].join("\n");

// The data stand in a file that is nowhere but here, beside the packages, so that they are found.
const file = path.join(here, "data-of-pages.ts");
const options = { strict: true, noEmit: true, skipLibCheck: true, target: ts.ScriptTarget.ES2022, module: ts.ModuleKind.NodeNext, moduleResolution: ts.ModuleResolutionKind.NodeNext };
const host = ts.createCompilerHost(options);
const { getSourceFile, fileExists, readFile } = host;
host.getSourceFile = (name, ...rest) => (name === file ? ts.createSourceFile(name, source, ts.ScriptTarget.ES2022) : getSourceFile(name, ...rest));
host.fileExists = (name) => name === file || fileExists(name);
host.readFile = (name) => (name === file ? source : readFile(name));
const program = ts.createProgram([file], options, host);
const complaints = ts.getPreEmitDiagnostics(program).map((one) => {
  const words = ts.flattenDiagnosticMessageText(one.messageText, "\n  ");
  if (!one.file || one.start === undefined) return words;
  const { line } = one.file.getLineAndCharacterOfPosition(one.start);
  return `${shapes[line - 1]?.page}: ${words}`;
});

for (const complaint of complaints) console.log(complaint);
console.log(`${pages} pages' data in ${shapes.length} shapes, ${complaints.length} complaints`);
process.exit(complaints.length || !shapes.length ? 1 : 0);
