// Names: where each is declared and used, what it is renamed to and what not, what a `use` opens, what premixes go into.

import assert from "node:assert/strict";
import fs from "node:fs";
import { test } from "node:test";
import { fileURLToPath } from "node:url";
import { at, edited, editor, protocol } from "../common/editor.mjs";
import { run, stillFiles, workroom } from "../common/program.mjs";

const {
  CallHierarchyIncomingCallsRequest,
  CallHierarchyOutgoingCallsRequest,
  CallHierarchyPrepareRequest,
  DefinitionRequest,
  DocumentHighlightRequest,
  DocumentLinkRequest,
  HoverRequest,
  PrepareRenameRequest,
  ReferencesRequest,
  RenameRequest,
} = protocol;

/** A client that has `names` open. */
async function opened(t, ...names) {
  const room = workroom(t);
  const client = await editor(t, room);
  for (const name of names) {
    client.open(name);
    await client.faults(name);
  }
  const place = (name, what, options) => ({ textDocument: { uri: client.uri(name) }, position: at(room.read(name), what, options) });
  return { room, client, place };
}

/** What stands at a place in its file. */
function standsThere({ uri, range: { start, end } }) {
  const text = fs.readFileSync(fileURLToPath(uri), "utf8").split("\n");
  return text.slice(start.line, end.line + 1).join("\n").slice(start.character, start.line === end.line ? end.character : undefined);
}

test("a name opens its declaration, in this file or another; a `use` opens the file", async (t) => {
  const { room, client, place } = await opened(t, "lactic-serum.still");
  const go = (what, options) => client.ask(DefinitionRequest.type, place("lactic-serum.still", what, options));
  const [own] = await go("our-lactic-acid");
  assert.equal(own.uri, client.uri("materials.still"));
  assert.deepEqual(own.range.start, at(room.read("materials.still"), "our-lactic-acid"));
  const [figure] = await go("acid active");
  assert.deepEqual([figure.uri, figure.range.start], [client.uri("lactic-serum.still"), at(room.read("lactic-serum.still"), "acid =")]);
  const [inStep] = await go("{soda-10}", { after: 2 });
  assert.deepEqual([inStep.uri, standsThere(inStep)], [client.uri("stocks.still"), "soda-10"]);
  const [file] = await go("stocks.still");
  assert.deepEqual([file.uri, file.range.start], [client.uri("stocks.still"), { line: 0, character: 0 }]);
  assert.deepEqual(await go("lactic acid serum"), []);
});

test("a name of the shelf opens its source, and what is asked there is answered", async (t) => {
  const { client, place } = await opened(t, "acid-gel.still");
  const [source] = await client.ask(DefinitionRequest.type, place("acid-gel.still", "betaine"));
  const text = fs.readFileSync(fileURLToPath(source.uri), "utf8");
  assert.equal(standsThere(source), "betaine");
  assert.match(text.split("\n")[source.range.start.line], /^material betaine /);
  client.connection.sendNotification(protocol.DidOpenTextDocumentNotification.type, {
    textDocument: { uri: source.uri, languageId: "stillroom", version: 1, text },
  });
  const shown = await client.ask(HoverRequest.type, { textDocument: { uri: source.uri }, position: source.range.start });
  assert.match(shown.contents.value, /a material of the shelf/);
  // From the shelf to the shelf, and from there to where the maker uses it.
  const [substance] = await client.ask(DefinitionRequest.type, {
    textDocument: { uri: source.uri },
    position: at(text, "glycerin", { nth: 0 }),
  });
  assert.ok(substance && fs.existsSync(fileURLToPath(substance.uri)));
});

test("every place where a name stands is found, in every file, and in this one marked", async (t) => {
  const { room, client, place } = await opened(t, "acid-gel.still");
  const asked = place("acid-gel.still", "soda-2");
  const found = await client.ask(ReferencesRequest.type, { ...asked, context: { includeDeclaration: true } });
  for (const one of found) assert.equal(standsThere(one), "soda-2");
  // Every whole word outside comments, by a search through the text.
  const expected = stillFiles(room.folder).flatMap((name) =>
    room.read(name).split("\n").flatMap((line, number) => [...line.replace(/#.*/, "").matchAll(/(?<![\w-])soda-2(?![\w-])/g)].map(({ index }) => `${client.uri(name)} ${number} ${index}`)),
  );
  assert.deepEqual(found.map(({ uri, range: { start } }) => `${uri} ${start.line} ${start.character}`).sort(), expected.sort());
  const without = await client.ask(ReferencesRequest.type, { ...asked, context: { includeDeclaration: false } });
  assert.equal(without.length, found.length - 1);
  const marked = await client.ask(DocumentHighlightRequest.type, asked);
  assert.equal(marked.length, found.filter(({ uri }) => uri === client.uri("acid-gel.still")).length);
});

test("a rename reaches every file, and everything comes to the same as before", async (t) => {
  const { room, client, place } = await opened(t, "acid-gel.still");
  const asked = place("acid-gel.still", "soda-2");
  const prepared = await client.ask(PrepareRenameRequest.type, asked);
  assert.equal(prepared.placeholder, "soda-2");
  const sheet = async () => (await run(t, ["sheet", "acid-gel.still", "--format", "json"], { folder: room.folder })).stdout;
  const check = async () => JSON.parse((await run(t, ["check", ".", "--format", "json"], { folder: room.folder })).stdout).diagnostics.map(({ code, file, line }) => `${code} ${file} ${line}`);
  const [sheetBefore, checkBefore] = [JSON.parse(await sheet()), await check()];
  const { changes } = await client.ask(RenameRequest.type, { ...asked, newName: "weak-lye" });
  assert.deepEqual(Object.keys(changes).sort(), ["acid-gel-batches.still", "acid-gel.still", "stocks.still"].map(client.uri).sort());
  for (const [uri, edits] of Object.entries(changes)) {
    const file = fileURLToPath(uri);
    fs.writeFileSync(file, edited(fs.readFileSync(file, "utf8"), edits));
  }
  assert.ok(!/(?<![\w-])soda-2(?![\w-])/.test(room.read("acid-gel-batches.still")));
  assert.deepEqual(await check(), checkBefore);
  const weights = (json) => json.phases.flatMap((phase) => phase.lines).map(({ material, grams }) => [material.replace("weak-lye", "soda-2"), grams]);
  assert.deepEqual(weights(JSON.parse(await sheet())), weights(sheetBefore));
});

test("a new name that is no name, or taken, is refused with the reason, and so is a name of the shelf", async (t) => {
  const { client, place } = await opened(t, "acid-gel.still");
  const to = (newName) => client.ask(RenameRequest.type, { ...place("acid-gel.still", "soda-2"), newName });
  const refusals = [
    ["two words", /is no name: a name has no blanks/],
    ["Großes", /is no name: small letters/],
    ["9x", /is no name/],
    ["", /is no name/],
    ["x".repeat(500), /has at most/],
    ["heat", /opens a statement inside a phase/],
    ["water", /is taken: it is a material here, declared in `materials\.still`, line \d+/],
    ["soda-10", /is taken: it is a formula/],
    ["betaine", /is taken: it is a material of the shelf/],
  ];
  for (const [name, why] of refusals) await assert.rejects(to(name), why, name);
  await assert.rejects(client.ask(PrepareRenameRequest.type, place("acid-gel.still", "betaine")), /is the shelf's, and stays as it is/);
  await assert.rejects(client.ask(PrepareRenameRequest.type, place("acid-gel.still", "0.01 g")), /no name here/);
});

test("each `use` is a link to its file", async (t) => {
  const { room, client } = await opened(t, "lactic-serum.still", "for-sale.still", "materials.still");
  for (const name of ["lactic-serum.still", "for-sale.still", "materials.still"]) {
    const text = room.read(name);
    const links = await client.ask(DocumentLinkRequest.type, { textDocument: { uri: client.uri(name) } });
    const used = [...text.matchAll(/^use "(.+)"$/gm)].map(([, file]) => client.uri(file));
    for (const uri of used) assert.ok(links.some(({ target }) => target === uri), `${name}: ${uri}`);
    for (const { target, range } of links) {
      assert.ok(fs.existsSync(fileURLToPath(target)), target);
      assert.match(text.split("\n")[range.start.line], /^use /);
    }
  }
});

test("a premix tells what it goes into, and a formula what goes into it, and on from there", async (t) => {
  const { client, place } = await opened(t, "acid-gel.still", "stocks.still");
  const prepare = async (name, what) => (await client.ask(CallHierarchyPrepareRequest.type, place(name, what)))[0];
  const gel = await prepare("acid-gel.still", "acid-gel {");
  const into = await client.ask(CallHierarchyOutgoingCallsRequest.type, { item: gel });
  assert.deepEqual(into.map(({ to }) => to.name), ["soda-2", "gum-stock"]);
  const soda = into[0].to;
  assert.deepEqual((await client.ask(CallHierarchyOutgoingCallsRequest.type, { item: soda })).map(({ to }) => to.name), ["soda-10"]);
  const strong = await prepare("stocks.still", "soda-10");
  const used = await client.ask(CallHierarchyIncomingCallsRequest.type, { item: strong });
  assert.ok(used.some(({ from }) => from.name === "soda-2") && used.some(({ from }) => from.name === "lactic-serum"), JSON.stringify(used.map(({ from }) => from.name)));
  for (const { from, fromRanges } of used) {
    for (const range of fromRanges) assert.equal(standsThere({ uri: from.uri, range }), "soda-10");
  }
});
