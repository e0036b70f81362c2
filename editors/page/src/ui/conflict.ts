// Two texts of one file, side by side. Neither is lost: the maker says which stands, and the other can be kept beside it.
import { MergeView } from "@codemirror/merge";
import { EditorState } from "@codemirror/state";
import { EditorView, lineNumbers } from "@codemirror/view";
import { button, el } from "./dom";

export type Choice = { take: "mine"; text: string } | { take: "theirs" } | { take: "both" };

export function showConflict(parent: HTMLElement, path: string, mine: string, theirs: string | null, decide: (choice: Choice) => void): () => void {
  const side = (label: string, readOnly: boolean) => [
    lineNumbers(),
    EditorView.lineWrapping,
    EditorView.contentAttributes.of({ "aria-label": label, tabindex: "0" }),
    EditorState.readOnly.of(readOnly),
  ];
  const holder = el("div", { class: "merge" });
  const merge = new MergeView({
    a: { doc: mine, extensions: side("Your text", false) },
    b: { doc: theirs ?? "", extensions: side("The text in the file", true) },
    parent: holder,
    revertControls: "b-to-a",
    collapseUnchanged: { margin: 3, minSize: 6 },
  });
  const words = theirs === null ? `${path} was taken away by another window or program.` : `${path} was changed by another window or program.`;
  const done = (choice: Choice) => {
    close();
    decide(choice);
  };
  const close = () => {
    merge.destroy();
    parent.replaceChildren();
    parent.hidden = true;
  };
  parent.replaceChildren(
    el("h3", {}, "Two texts of one file"),
    el("p", {}, `${words} Nothing was overwritten. Yours is on the left and can still be changed, the other on the right.`),
    el(
      "p",
      { class: "choices" },
      button("Keep mine", () => done({ take: "mine", text: merge.a.state.doc.toString() })),
      theirs !== null && button("Take the other", () => done({ take: "theirs" })),
      theirs !== null && button("Keep both as two files", () => done({ take: "both" })),
    ),
    holder,
  );
  parent.hidden = false;
  return close;
}
