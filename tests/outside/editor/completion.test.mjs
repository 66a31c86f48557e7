// What is proposed while one types, with what is known of it, and the fields of the block one is in.

import assert from "node:assert/strict";
import { test } from "node:test";
import { at, edited, editor, protocol } from "../common/editor.mjs";
import { workroom } from "../common/program.mjs";

const { CompletionRequest, CompletionResolveRequest, SignatureHelpRequest } = protocol;
const SERUM = "lactic-serum.still";
const A_LINE = "    sodium-phytate             0.1 %";

/** A client with the serum open; gives what is proposed when `typed` stands after `before`. */
async function typing(t) {
  const room = workroom(t);
  const client = await editor(t, room);
  const text = room.read(SERUM);
  client.open(SERUM);
  await client.faults(SERUM);
  const uri = client.uri(SERUM);
  return async (before, typed) => {
    const now = text.replace(before, before + typed);
    client.change(SERUM, now);
    const position = at(now, before + typed, { after: before.length + typed.length });
    const { items } = await client.ask(CompletionRequest.type, { textDocument: { uri }, position });
    const best = [...items].sort((one, other) => (one.sortText < other.sortText ? -1 : 1));
    const said = async (label) => {
      const item = items.find((item) => item.label === label);
      assert.ok(item, `${label} is not among ${items.length} proposals: ${best.slice(0, 9).map(({ label }) => label)}`);
      const { documentation } = await client.ask(CompletionResolveRequest.type, item);
      return { ...item, said: documentation?.value ?? "", taken: edited(now, [item.textEdit]) };
    };
    return { labels: best.map(({ label }) => label), said };
  };
}

test("materials are proposed with their strength, and with what is known of them", async (t) => {
  const type = await typing(t);
  const { said } = await type(`${A_LINE}\n`, "    lac");
  const own = await said("our-lactic-acid");
  assert.match(own.detail, /lactic-acid 88\.4 % \(its active\)/);
  assert.match(own.said, /caution: Add acid to water/);
  assert.ok(own.taken.includes(`${A_LINE}\n    our-lactic-acid\n`) || own.taken.includes(`${A_LINE}\n    our-lactic-acid`), own.taken);
  // One that is like another has that one's strength.
  assert.match((await said("panthenol-75")).detail, /panthenol 7\d/);
  assert.match((await said("lactic-acid-88")).detail, /lactic-acid/);
  assert.match((await said("gum-stock")).said, /a formula/, "premixes too");
});

test("units, roles and words are proposed where they fit, with what they mean", async (t) => {
  const type = await typing(t);
  const unit = await type(`${A_LINE}\n`, "    panthenol-75 2 ");
  assert.equal(unit.labels[0], "%");
  assert.match((await unit.said("% w/v")).said, /percentage by weight in volume/);
  const product = await type("  product     leave-on face", " ");
  assert.match((await product.said("hand")).said, /The hand/);
  assert.ok(product.labels.includes("face") && !product.labels.includes("because"), `what fits, and nothing else: ${product.labels}`);
  const tail = await type(`${A_LINE}\n`, "    panthenol-75 2 % ");
  for (const word of ["active", "of", "hold", "because", "allow"]) assert.ok(tail.labels.includes(word), word);
  const role = await type('\nlet acid = 5 %\n', "\nmaterial mine like glycerin {\n  role ");
  assert.match((await role.said("humectant")).said, /role/);
});

test("fields, codes, step names and files are proposed, with what they say", async (t) => {
  const type = await typing(t);
  const field = await type("  meter       0.05\n", "  dir");
  assert.match((await field.said("directions")).said, /How the product is used/);
  const code = await type(A_LINE, " allow ");
  assert.match((await code.said("below-scale")).said, /At the bench/);
  assert.ok(!code.labels.includes("parse"), "only what may be allowed");
  const step = await type('before filling."\n', '    "Stir {');
  assert.ok(step.labels.includes("pH") && step.labels.includes("xanthan-gum") && !step.labels.includes("beeswax"), `${step.labels}`);
  assert.match((await step.said("xanthan-gum")).said, /works in: pH 2 to 12/);
  const part = await type('before filling."\n', '    "Stir {water ');
  assert.deepEqual(part.labels, ["first", "rest"]);
  const path = await type('use "stocks.still"\n', 'use "');
  assert.ok(path.labels.includes("materials.still") && path.labels.every((label) => label.endsWith(".still")), `${path.labels}`);
  const shelf = await type('use "stocks.still"\n', "use shelf/");
  assert.match((await shelf.said("shelf/acids")).detail, /fruit and sugar acids/);
});

test("nothing is proposed in a comment or in words of one's own", async (t) => {
  const type = await typing(t);
  assert.deepEqual((await type("# A lactic acid serum.", " gly")).labels, []);
  assert.deepEqual((await type('  title       "Lactic serum', " gly")).labels, []);
});

test("a block tells its fields, which are written, and which one the cursor is in", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  client.open(SERUM);
  await client.faults(SERUM);
  const position = at(room.read(SERUM), "version ", { after: 3 });
  const help = await client.ask(SignatureHelpRequest.type, { textDocument: { uri: client.uri(SERUM) }, position });
  const [{ label, parameters }] = help.signatures;
  const words = parameters.map(({ label: [from, to] }) => label.slice(from, to));
  assert.ok(label.startsWith("formula lactic-serum {"), label);
  assert.equal(words[help.activeParameter], "version");
  assert.ok(label.includes("title✓") && label.includes(" market ") && !label.includes("market✓"), label);
  assert.match(parameters[words.indexOf("opened")].documentation.value, /How long it keeps once opened/);
  const outside = await client.ask(SignatureHelpRequest.type, { textDocument: { uri: client.uri(SERUM) }, position: { line: 0, character: 0 } });
  assert.equal(outside, null);
});
