// Answers over HTTP with what stands in the active editor; "/open?FILE" puts another file into it. The port goes into
// a file beside the workspace's folder.
const { writeFileSync } = require("node:fs");
const http = require("node:http");
const vscode = require("vscode");

function seen() {
  const editor = vscode.window.activeTextEditor;
  if (!editor) return null;
  const { start, end } = editor.selection;
  const whole = editor.document.lineAt(end.line).text;
  const program = vscode.extensions.getExtension("phasewright.phasewright");
  return {
    file: editor.document.uri.fsPath,
    text: editor.document.getText(),
    dirty: editor.document.isDirty,
    // In characters, as they are typed, not in UTF-16 units.
    look: { line: end.line, from: [...whole.slice(0, start.character)].length, to: [...whole.slice(0, end.character)].length, text: whole },
    ready: program !== undefined && program.isActive,
  };
}

exports.activate = () => {
  const server = http.createServer(async (request, answer) => {
    const [what, file] = request.url.split("?");
    if (what === "/open") {
      await vscode.workspace.saveAll(false);
      await vscode.commands.executeCommand("workbench.action.closeAllEditors");
      await vscode.window.showTextDocument(vscode.Uri.file(decodeURIComponent(file)), { preview: false });
    }
    answer.end(JSON.stringify(seen()));
  });
  server.listen(0, "127.0.0.1", () => {
    writeFileSync(`${vscode.workspace.workspaceFolders[0].uri.fsPath}.port`, String(server.address().port));
  });
};
