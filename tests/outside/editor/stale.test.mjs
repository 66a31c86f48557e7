// What nobody waits for any more: cancelled, or asked of a text that is another by now.

import assert from "node:assert/strict";
import { test } from "node:test";
import { at, editor, protocol } from "../common/editor.mjs";
import { workroom } from "../common/program.mjs";

const { CancellationTokenSource, CompletionRequest, HoverRequest, InlayHintRequest } = protocol;

const CANCELLED = -32800;
const MODIFIED = -32801;
const NAME = "lactic-serum.still";

/** How each of several requests ends: the code of its refusal, or what it was answered. */
const ends = (asked) => Promise.all(asked.map((one) => one.then((answer) => ({ answer }), ({ code }) => ({ code }))));

async function busy(t) {
  const room = workroom(t);
  const client = await editor(t, room);
  const text = room.read(NAME);
  client.open(NAME);
  await client.faults(NAME);
  const range = { start: { line: 0, character: 0 }, end: { line: 50, character: 0 } };
  const textDocument = { uri: client.uri(NAME) };
  const place = { textDocument, position: at(text, "xanthan-gum") };
  return { client, text, textDocument, range, place };
}

test("a request that is cancelled while the server is busy is refused as cancelled, and the others are answered", async (t) => {
  const { client, text, textDocument, range, place } = await busy(t);
  const source = new CancellationTokenSource();
  // The change keeps the server at its check while all of these come.
  client.change(NAME, text.replace("0.5 %", "0.6 %"));
  const wanted = client.ask(InlayHintRequest.type, { textDocument, range });
  const unwanted = Array.from({ length: 20 }, () => client.ask(HoverRequest.type, place, source.token));
  const last = client.ask(HoverRequest.type, place);
  source.cancel();
  const ended = await ends(unwanted);
  for (const { code, answer } of ended) assert.ok(code === CANCELLED || answer, `${code}`);
  assert.ok(ended.filter(({ code }) => code === CANCELLED).length > 10, JSON.stringify(ended.map(({ code }) => code)));
  assert.ok((await wanted).length > 5);
  assert.match((await last).contents.value, /0\.6 % as supplied/);
  assert.equal(await client.end(), 0);
});

test("a request about a text that has changed behind it is refused, and the newest is answered", async (t) => {
  const { client, text, place } = await busy(t);
  const asked = [];
  for (const percent of ["0.6", "0.7", "0.8", "0.9"]) {
    client.change(NAME, text.replace("0.5 %", `${percent} %`));
    asked.push(client.ask(HoverRequest.type, place));
  }
  const ended = await ends(asked);
  assert.match(ended.at(-1).answer.contents.value, /0\.9 % as supplied/);
  for (const { code, answer } of ended.slice(0, -1)) assert.ok(code === MODIFIED || answer, `${code}`);
  assert.ok(ended.some(({ code }) => code === MODIFIED), JSON.stringify(ended.map(({ code }) => code)));
  assert.equal(await client.end(), 0);
});

test("an answer to nobody, a cancel of nothing and a request without its parameters leave the server as it was", async (t) => {
  const { client, place } = await busy(t);
  client.connection.sendNotification("$/cancelRequest", { id: 4711 });
  client.connection.sendNotification("stillroom/nothing", {});
  await assert.rejects(client.connection.sendRequest("textDocument/hover", { textDocument: 7 }), ({ code }) => code === -32602);
  await assert.rejects(client.ask(CompletionRequest.type, { ...place, textDocument: { uri: "file:///nowhere/there.still" } }));
  assert.match((await client.ask(HoverRequest.type, place)).contents.value, /xanthan-gum/);
  assert.equal(await client.end(), 0);
});
