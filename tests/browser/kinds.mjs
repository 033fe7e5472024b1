// Which pages of an edition are looked at.

import fs from "node:fs";
import path from "node:path";

// A folder of the edition holds pages of one kind; of those the longest is opened, where most can go wrong. Every page
// that stands alone at the top is a kind of its own.
export function onePageOfEachKind(edition) {
  const longest = new Map();
  const walk = (folder) => {
    for (const entry of fs.readdirSync(folder, { withFileTypes: true })) {
      const full = path.join(folder, entry.name);
      if (entry.isDirectory()) walk(full);
      else if (entry.name.endsWith(".html")) {
        const inFolder = path.relative(edition, folder);
        const own = inFolder === "" || entry.name === "index.html";
        const kind = own ? path.relative(edition, full) : `${inFolder}/*`;
        const size = fs.statSync(full).size;
        if (!longest.has(kind) || longest.get(kind).size < size) longest.set(kind, { full, size });
      }
    }
  };
  walk(edition);
  return [...longest.entries()].sort(([a], [b]) => (a < b ? -1 : 1)).map(([kind, found]) => ({ kind, ...found }));
}
