// What stands beside the lines and above the formulas: weights, and pH, dose, cost and batches under way.

import assert from "node:assert/strict";
import { test } from "node:test";
import { at, editor, protocol } from "../common/editor.mjs";
import { run, workroom } from "../common/program.mjs";

const { CodeLensRequest, CodeLensResolveRequest, ExecuteCommandRequest, InlayHintRequest } = protocol;

/** The hints of a file by the number of their line. */
async function hints(client, name, text) {
  const range = { start: { line: 0, character: 0 }, end: { line: text.split("\n").length, character: 0 } };
  const found = await client.ask(InlayHintRequest.type, { textDocument: { uri: client.uri(name) }, range });
  return new Map(found.map((hint) => [hint.position.line, hint]));
}

/** The lines of the sheet of a formula, as JSON has them. */
async function sheet(t, room, name, formula) {
  const words = ["sheet", name, "--format", "json", ...(formula ? ["--formula", formula] : [])];
  return JSON.parse((await run(t, words, { folder: room.folder })).stdout);
}

/** The titles of the lenses of a file, with the formula or batch each is of. */
async function lenses(client, name) {
  const found = [];
  for (const lens of await client.ask(CodeLensRequest.type, { textDocument: { uri: client.uri(name) } })) {
    const { range, command } = await client.ask(CodeLensResolveRequest.type, lens);
    found.push({ line: range.start.line, ...command });
  }
  return found;
}

test("beside each line stand the grams of the sheet", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  for (const [name, formula] of [["lactic-serum.still"], ["acid-gel.still"], ["cream.still", "day-cream"], ["balm.still"]]) {
    const text = room.read(name);
    client.open(name);
    await client.faults(name);
    const beside = await hints(client, name, text);
    let count = 0;
    for (const line of (await sheet(t, room, name, formula)).phases.flatMap((phase) => phase.lines)) {
      // The first place where the name opens a line.
      const written = text.split("\n").findIndex((typed) => typed.trim().split(/\s/)[0] === line.material && typed.startsWith("    "));
      if (written < 0 || line.grams === null || line.at_bench) continue;
      assert.ok(beside.get(written)?.label.split(/[ ,]+/).includes(line.grams), `${name}: ${line.material} ${line.grams} g, not ${beside.get(written)?.label}`);
      count += 1;
    }
    assert.ok(count > 3, name);
  }
});

test("an active target tells its percent as supplied, and `q.s.` what it comes to", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  const name = "lactic-serum.still";
  const text = room.read(name);
  client.open(name);
  await client.faults(name);
  const beside = await hints(client, name, text);
  const json = await sheet(t, room, name);
  const of = (material) => json.phases.flatMap((phase) => phase.lines).find((line) => line.material === material);
  const label = (what) => beside.get(at(text, what).line).label;
  assert.equal(label("our-lactic-acid"), `= ${of("our-lactic-acid").percent} %, ${of("our-lactic-acid").grams} g`);
  const water = of("water");
  assert.equal(label("water   "), `= ${water.percent} %, ${water.grams} g, first ${water.first_weighing_g} g, ${water.held_back_g} g held back`);
  // A line that is reckoned tells what it comes to: 4 times 0.5 %.
  assert.match(label("pentylene-glycol"), /^= 2 %, /);
  // What is weighed by the pH is foreseen and not promised.
  const dose = json.ph.adjusters[0].grams_mid;
  assert.match(label("soda-10"), new RegExp(`^foreseen ${dose.toFixed(2)} g \\(.+ to .+\\) to the middle$`));
  assert.match(beside.get(at(text, "soda-10").line).tooltip, /weighed by the pH that is read/);
});

test("the grams follow what is typed, saved or not", async (t) => {
  const file = "use shelf/all\n\nformula gel {\n  makes 200 g\n  scale 0.01 g\n  phase A {\n    water q.s.\n    glycerin 5 %\n  }\n}\n";
  const room = workroom(t, { examples: false, files: { "gel.still": file } });
  const client = await editor(t, room);
  client.open("gel.still");
  await client.faults("gel.still");
  assert.equal((await hints(client, "gel.still", file)).get(7).label, "= 10.00 g");
  client.change("gel.still", { range: { start: at(file, "5 %"), end: at(file, "5 %", { after: 1 }) }, text: "7.5" });
  assert.equal((await hints(client, "gel.still", file)).get(7).label, "= 15.00 g");
  // Only what is asked for: a stretch without the line has no hint of it.
  const range = { start: { line: 0, character: 0 }, end: { line: 4, character: 0 } };
  assert.deepEqual(await client.ask(InlayHintRequest.type, { textDocument: { uri: client.uri("gel.still") }, range }), []);
});

test("above a formula stand pH, dose, cost and the batches under way, and each shows the sheet", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  client.open("acid-gel.still");
  await client.faults("acid-gel.still");
  const { ph } = await sheet(t, room, "acid-gel.still");
  const above = await lenses(client, "acid-gel.still");
  const titles = above.map(({ title }) => title);
  const foreseen = titles.find((title) => title.startsWith("pH "));
  assert.ok(foreseen.startsWith(`pH ${ph.before.toFixed(2)} foreseen`), `${foreseen} ${ph.before}`);
  assert.ok(foreseen.endsWith(`with about ${ph.adjusters[0].grams_mid.toFixed(2)} g of soda-2`), foreseen);
  const cost = JSON.parse((await run(t, ["cost", "acid-gel.still", "--format", "json"], { folder: room.folder })).stdout);
  const batch = JSON.stringify(cost);
  const priced = titles.find((title) => / EUR a batch of 20 g/.test(title));
  assert.ok(priced && batch.includes(`"${priced.split(" ")[0]}"`), `${priced} ${batch.slice(0, 200)}`);
  assert.ok(titles.some((title) => /^1 batch under way: ag-1114: /.test(title)), `${titles}`);
  for (const { command, arguments: [which] } of above) {
    const { markdown } = await client.ask(ExecuteCommandRequest.type, { command, arguments: [which] });
    assert.match(markdown, /Mandelic gel/);
  }
});

test("a batch under way tells what it waits for, from a record that is not saved", async (t) => {
  const room = workroom(t);
  const client = await editor(t, room);
  const name = "acid-gel-batches.still";
  const text = room.read(name);
  const begun = `${text.slice(0, text.indexOf("  weighed     water"))}}\n`;
  client.open(name, begun);
  client.open("acid-gel.still");
  await client.faults("acid-gel.still");
  const under = (await lenses(client, "acid-gel.still")).find(({ title }) => /under way/.test(title));
  assert.match(under.title, /water/);
  const [own] = await lenses(client, name);
  assert.equal(own.line, at(begun, "ag-1114").line);
  assert.match(own.title, /water/);
  assert.equal(room.read(name), text, "nothing is written");
});
