// Starts `stillroom lsp` for .still files, and shows the sheet beside the text.
"use strict";

const vscode = require("vscode");
const { LanguageClient } = require("vscode-languageclient/node");

const SHOW_SHEET = "stillroom.showSheet";
const SCHEME = "stillroom-sheet";

let client;

/** The sheets that are shown: the text of each, by its address. */
class Sheets {
  constructor() {
    this.texts = new Map();
    this.changed = new vscode.EventEmitter();
    this.onDidChange = this.changed.event;
  }

  provideTextDocumentContent(uri) {
    return this.texts.get(uri.toString()) ?? "";
  }

  async show({ title, markdown }) {
    const uri = vscode.Uri.from({ scheme: SCHEME, path: `/${title}.md` });
    this.texts.set(uri.toString(), markdown);
    this.changed.fire(uri);
    await vscode.commands.executeCommand("markdown.showPreviewToSide", uri);
  }
}

async function activate(context) {
  const sheets = new Sheets();
  const program = vscode.workspace.getConfiguration("stillroom").get("program") || "stillroom";
  client = new LanguageClient(
    "stillroom",
    "Stillroom",
    { command: program, args: ["lsp"] },
    {
      documentSelector: [{ scheme: "file", language: "stillroom" }, { scheme: "untitled", language: "stillroom" }],
      synchronize: { fileEvents: vscode.workspace.createFileSystemWatcher("**/*.still") },
      middleware: {
        // What the server gives as a sheet, from the line above a formula too, is shown; whatever else it gives is passed on.
        async executeCommand(command, words, next) {
          const given = await next(command, words);
          if (command === SHOW_SHEET && given) await sheets.show(given);
          return given;
        },
      },
    },
  );
  context.subscriptions.push(
    vscode.workspace.registerTextDocumentContentProvider(SCHEME, sheets),
    vscode.commands.registerCommand("stillroom.sheetBeside", async () => {
      const editor = vscode.window.activeTextEditor;
      if (!editor || editor.document.languageId !== "stillroom") return;
      const { line, character } = editor.selection.active;
      await vscode.commands.executeCommand(SHOW_SHEET, { uri: editor.document.uri.toString(), position: { line, character } });
    }),
  );
  try {
    await client.start();
  } catch (fault) {
    vscode.window.showErrorMessage(
      `\`${program} lsp\` does not start: ${fault.message}. Is Stillroom installed? The setting stillroom.program says where it is.`,
    );
  }
}

async function deactivate() {
  await client?.stop();
}

module.exports = { activate, deactivate };
