// CodeMirror as its own manual sets it up, with its client of language servers. Tab accepts what the list offers, and does
// nothing while the list is still being asked for: it would leave the editor.
import { acceptCompletion, completionStatus } from "@codemirror/autocomplete";
import { LSPClient, languageServerExtensions } from "@codemirror/lsp-client";
import { keymap } from "@codemirror/view";
import { EditorView, basicSetup } from "codemirror";

const { uri, text } = Object.fromEntries(new URLSearchParams(location.search));
const acceptOrWait = (view) => acceptCompletion(view) || completionStatus(view.state) !== null;

function connect(address) {
  return new Promise((resolve, reject) => {
    const socket = new WebSocket(address);
    const handlers = new Set();
    socket.onmessage = (event) => handlers.forEach((handler) => handler(event.data));
    socket.onerror = reject;
    socket.onopen = () =>
      resolve({
        send: (message) => socket.send(message),
        subscribe: (handler) => handlers.add(handler),
        unsubscribe: (handler) => handlers.delete(handler),
      });
  });
}

const client = new LSPClient({ extensions: languageServerExtensions() }).connect(await connect(`ws://${location.host}/`));
await client.initializing;
window.view = new EditorView({
  doc: text,
  parent: document.querySelector("#editor"),
  extensions: [basicSetup, keymap.of([{ key: "Tab", run: acceptOrWait }]), client.plugin(uri, "formula")],
});
window.ready = true;
