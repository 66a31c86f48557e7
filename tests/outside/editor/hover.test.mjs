// What is shown where the cursor rests: facts of a material, figures of a line, the page of a code.

import assert from "node:assert/strict";
import { test } from "node:test";
import { at, editor, protocol } from "../common/editor.mjs";
import { run, workroom } from "../common/program.mjs";

const { HoverRequest } = protocol;
const SERUM = "lactic-serum.still";

/** A client that has `names` open, and what it is shown at a word of one of them. */
async function opened(t, names, folder = {}) {
  const room = workroom(t, folder);
  const client = await editor(t, room);
  for (const name of names) {
    client.open(name);
    await client.faults(name);
  }
  const shown = async (name, what, options) => {
    const text = room.read(name);
    const found = await client.ask(HoverRequest.type, { textDocument: { uri: client.uri(name) }, position: at(text, what, options) });
    if (!found) return null;
    const { start, end } = found.range;
    return { markdown: found.contents.value, kind: found.contents.kind, word: text.split("\n").slice(start.line, end.line + 1).join("\n").slice(start.character, end.character) };
  };
  return { room, client, shown };
}

test("a material of the shelf is shown with its usage, its working pH and where each is from", async (t) => {
  const { shown } = await opened(t, [SERUM]);
  const { markdown, kind, word } = await shown(SERUM, "green-tea-extract");
  assert.equal(kind, "markdown");
  assert.equal(word, "green-tea-extract");
  assert.match(markdown, /`green-tea-extract`\*\*: a material of the shelf/);
  assert.match(markdown, /^- use: 0\.1 % to 1 % as supplied$/m);
  assert.match(markdown, /^- works in: pH 3\.5 to 6$/m);
  assert.match(markdown, /^Source: common practice, no source$/m);
});

test("a material of one's own is shown with its strength, and with what it takes from the shelf", async (t) => {
  const { shown } = await opened(t, [SERUM]);
  const { markdown } = await shown(SERUM, "our-lactic-acid");
  assert.match(markdown, /^- contains: lactic-acid 88\.4 % \(its active\), water for the rest$/m);
  assert.match(markdown, /^- use: up to 10 % of its active \*\(.+\)\*$/m);
  assert.match(markdown, /^- works in: pH 3\.5 to 5 \*\(.+\)\*$/m);
  // What can hurt says so here as on paper.
  assert.match(markdown, /caution: Add acid to water, never water to acid\./);
});

test("a line is shown with its exact percent, its grams and its active, as on the sheet", async (t) => {
  const { room, shown } = await opened(t, [SERUM]);
  const sheet = JSON.parse((await run(t, ["sheet", SERUM, "--format", "json"], { folder: room.folder })).stdout);
  const lines = sheet.phases.flatMap((phase) => phase.lines);
  const acid = lines.find(({ material }) => material === "our-lactic-acid");
  const { markdown } = await shown(SERUM, "our-lactic-acid");
  assert.ok(markdown.startsWith("**In `lactic-serum`**"), markdown);
  assert.ok(markdown.includes(`${acid.percent} % (exactly ${acid.percent_exact} %) as supplied`), markdown);
  assert.ok(markdown.includes(`${acid.grams} g in a batch of ${sheet.batch_g} g`), markdown);
  // 5 % of the acid is asked for, and 5 / 0.884 = 1250/221 is what the solution of 88.4 % comes to.
  assert.ok(markdown.includes("- 5 % of `lactic-acid`"), markdown);
  assert.equal(acid.percent_exact, "1250/221");
});

test("a line of a variant is shown in the variant's figures", async (t) => {
  const { room, shown } = await opened(t, ["cream.still"]);
  const sheet = JSON.parse((await run(t, ["sheet", "cream.still", "--formula", "night-cream", "--format", "json"], { folder: room.folder })).stdout);
  const wax = sheet.phases.flatMap((phase) => phase.lines).find(({ material }) => material === "beeswax");
  const { markdown } = await shown("cream.still", "beeswax");
  assert.ok(markdown.includes("**In `night-cream`**") && markdown.includes(`${wax.grams} g in a batch of ${sheet.batch_g} g`), markdown);
});

test("a code is shown with its page, as `explain` prints it", async (t) => {
  const { room, shown } = await opened(t, ["acid-gel.still"]);
  const { markdown, word } = await shown("acid-gel.still", "below-scale");
  assert.equal(word, "below-scale");
  const page = (await run(t, ["explain", "below-scale"], { folder: room.folder })).stdout.split("\nLevel: ")[0].trim();
  assert.equal(markdown.split("\n\n*Level:*")[0].trim(), page);
});

test("words of the language, units, figures and files are shown too, and a blank shows nothing", async (t) => {
  const { shown } = await opened(t, [SERUM]);
  assert.match((await shown(SERUM, "opened")).markdown, /^\*\*`opened TIME`\*\*/);
  assert.match((await shown(SERUM, "q.s.")).markdown, /What fills the batch to 100 %/);
  assert.match((await shown(SERUM, "g/mL")).markdown, /a density/);
  assert.match((await shown(SERUM, "acid active")).markdown, /= 5 %$/);
  assert.match((await shown(SERUM, "stocks.still")).markdown, /`soda-10`/);
  assert.equal(await shown(SERUM, "\n\nlet", { after: 1 }), null);
});

test("what a maker wrote is text in what is shown", async (t) => {
  const file = 'use shelf/all\n\nmaterial syrup like glycerin {\n  note "<img src=x onerror=alert(1)> **bold** [a](b) \u202e"\n}\n';
  const { shown } = await opened(t, ["own.still"], { examples: false, files: { "own.still": file } });
  const { markdown } = await shown("own.still", "syrup");
  // Each sign of Markdown is written as itself, and what turns the reading round is spelled out.
  assert.ok(markdown.includes("\\<img src=x onerror=alert(1)> \\*\\*bold\\*\\* \\[a](b) \\u{202e}"), markdown);
  assert.ok(!markdown.includes("\u202e"));
});
