// An editor, by the client library of the protocol: it speaks to the real server on its standard streams.

import { pathToFileURL } from "node:url";
import { createRequire } from "node:module";
import { start } from "./program.mjs";

const require = createRequire(import.meta.url);
const rpc = require("vscode-jsonrpc/node");
export const protocol = require("vscode-languageserver-protocol");

const { DidChangeTextDocumentNotification, DidOpenTextDocumentNotification, ExitNotification, InitializeRequest, InitializedNotification, PublishDiagnosticsNotification, ShutdownRequest } = protocol;

/** What an editor of today can do, as far as the server asks. */
const capabilities = (encoding) => ({
  general: { positionEncodings: [encoding] },
  textDocument: {
    publishDiagnostics: { relatedInformation: true, versionSupport: true },
    codeAction: { codeActionLiteralSupport: { codeActionKind: { valueSet: ["quickfix", "source.fixAll"] } } },
    hover: { contentFormat: ["markdown"] },
    completion: { completionItem: { documentationFormat: ["markdown"] } },
    documentSymbol: { hierarchicalDocumentSymbolSupport: true },
    rename: { prepareSupport: true },
  },
  workspace: { workspaceFolders: true },
});

/** Starts the server for the test `t` on a workroom and initialises it. `encoding` is what the client counts in. */
export async function editor(t, room, { encoding = "utf-16" } = {}) {
  const server = start(t, ["lsp"], { folder: room.folder });
  const connection = rpc.createMessageConnection(new rpc.StreamMessageReader(server.child.stdout), new rpc.StreamMessageWriter(server.child.stdin));
  const told = new Map();
  const waiting = new Set();
  connection.onNotification(PublishDiagnosticsNotification.type, (found) => {
    told.set(found.uri, found);
    for (const look of waiting) look();
  });
  connection.onRequest("client/registerCapability", () => null);
  connection.onRequest("workspace/codeLens/refresh", () => null);
  connection.onRequest("workspace/inlayHint/refresh", () => null);
  connection.listen();
  t.after(() => connection.dispose());
  const folder = pathToFileURL(room.folder).href;
  const initialised = await connection.sendRequest(InitializeRequest.type, {
    processId: process.pid,
    rootUri: folder,
    workspaceFolders: [{ uri: folder, name: "workroom" }],
    capabilities: capabilities(encoding),
  });
  connection.sendNotification(InitializedNotification.type, {});
  const uri = (name) => pathToFileURL(room.path(name)).href;
  const versions = new Map();
  return {
    server,
    connection,
    capabilities: initialised.capabilities,
    uri,
    ask: (type, params, token) => connection.sendRequest(type, params, token),
    open(name, text = room.read(name)) {
      versions.set(name, 1);
      connection.sendNotification(DidOpenTextDocumentNotification.type, {
        textDocument: { uri: uri(name), languageId: "stillroom", version: 1, text },
      });
      return 1;
    },
    /** Changes a document, whole or by ranges; gives its new version. */
    change(name, ...changes) {
      const version = versions.get(name) + 1;
      versions.set(name, version);
      connection.sendNotification(DidChangeTextDocumentNotification.type, {
        textDocument: { uri: uri(name), version },
        contentChanges: changes.map((change) => (typeof change === "string" ? { text: change } : change)),
      });
      return version;
    },
    /** The faults told of a document, once they are those of its version (or meet `until`). */
    faults(name, version = versions.get(name), until = () => true) {
      return new Promise((resolve, reject) => {
        const look = () => {
          const found = told.get(uri(name));
          if (!found || (version !== undefined && found.version !== version) || !until(found.diagnostics)) return;
          waiting.delete(look);
          clearTimeout(patience);
          resolve(found.diagnostics);
        };
        const patience = setTimeout(() => {
          waiting.delete(look);
          reject(new Error(`No faults of ${name} at version ${version} in 30 s; the last are ${JSON.stringify(told.get(uri(name)))}\n${server.told.stderr}`));
        }, 30_000);
        waiting.add(look);
        look();
      });
    },
    /** Ends the server as an editor does; gives its exit code. */
    async end() {
      await connection.sendRequest(ShutdownRequest.type);
      await connection.sendNotification(ExitNotification.type);
      return (await server.ended).code;
    },
  };
}

/** The position of the `nth` place where `what` stands in a text, in the units of the client; `after` letters further on. */
export function at(text, what, { nth = 0, after = 0, encoding = "utf-16" } = {}) {
  let index = -1;
  for (let count = 0; count <= nth; count += 1) index = text.indexOf(what, index + 1);
  if (index < 0) throw new Error(`${what} does not stand there`);
  const before = text.slice(0, index + after);
  const line = before.slice(before.lastIndexOf("\n") + 1);
  return { line: before.split("\n").length - 1, character: encoding === "utf-8" ? Buffer.byteLength(line) : line.length };
}

/** A text with edits of the protocol carried out, counted as the client counts. */
export function edited(text, edits, { encoding = "utf-16" } = {}) {
  const starts = [0];
  for (let index = text.indexOf("\n"); index >= 0; index = text.indexOf("\n", index + 1)) starts.push(index + 1);
  const units = (line, character) => {
    if (encoding === "utf-16") return character;
    return Buffer.from(text.slice(starts[line])).subarray(0, character).toString("utf8").length;
  };
  const offset = ({ line, character }) => (line < starts.length ? starts[line] + units(line, character) : text.length);
  const ordered = [...edits].sort((one, other) => offset(other.range.start) - offset(one.range.start));
  return ordered.reduce((so, { range, newText }) => so.slice(0, offset(range.start)) + newText + so.slice(offset(range.end)), text);
}
