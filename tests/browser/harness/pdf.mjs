// What a PDF says, page by page.

import { createRequire } from "node:module";

// The reader asks for these as it starts, to paint; nothing is painted here.
for (const name of ["DOMMatrix", "ImageData", "Path2D"]) globalThis[name] ??= class {};
const warn = console.warn;
console.warn = () => {};
const path = createRequire(import.meta.url).resolve("pdfjs-dist/legacy/build/pdf.mjs");
const { getDocument } = await import(path);
console.warn = warn;

/** The text of each page, in the order of the file and without line breaks. */
export async function pdfPages(bytes) {
  const pdf = await getDocument({ data: new Uint8Array(bytes), verbosity: 0 }).promise;
  const pages = [];
  for (let number = 1; number <= pdf.numPages; number += 1) {
    const { items } = await (await pdf.getPage(number)).getTextContent();
    // A line that goes on in the next has no space at its end.
    const text = items.map(({ str, hasEOL }) => (hasEOL ? `${str} ` : str)).join("");
    pages.push(text.replace(/\s+/g, " "));
  }
  return pages;
}
