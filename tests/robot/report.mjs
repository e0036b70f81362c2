// The table and the spoiled lines as Markdown.

/** @param {object[]} results one for each formula typed; `failed` where the editor did not get that far */
export function report(results, { seconds, left }) {
  const cells = new Map();
  const sorted = [...results].sort((a, b) => a.editor.localeCompare(b.editor) || a.ms - b.ms || a.habit.localeCompare(b.habit) || a.name.localeCompare(b.name));
  for (const result of sorted) {
    const key = `${result.editor} | ${result.ms} ms | ${result.habit}`;
    if (!cells.has(key)) cells.set(key, []);
    cells.get(key).push(result);
  }
  const out = [`# What the typing robot found`, ""];
  const typed = results.filter((r) => !r.failed);
  const keys = typed.reduce((sum, r) => sum + r.keys, 0);
  out.push(`${typed.length} formulas typed, ${keys} characters, ${Math.round(seconds)} s${left > 0 ? `; ${left} formulas still to type` : ""}.`, "");
  out.push("A line is spoiled where it is not what was meant, byte for byte. Only the blanks between words may differ, and only in lines of which the robot took a part from the list, and in an editor that formats while one types.", "");
  out.push("| editor | a key | habit | formulas | spoiled | lines | spoiled | taken from the list | ms a key, measured |", "|---|---|---|---|---|---|---|---|---|");
  for (const [key, all] of cells) {
    const done = all.filter((r) => !r.failed);
    const sum = (field) => done.reduce((total, r) => total + r[field], 0);
    const measured = done.length ? Math.round((1000 * sum("seconds")) / sum("keys")) : "-";
    const failed = all.length - done.length;
    out.push(`| ${key} | ${done.length}${failed ? ` (and ${failed} not typed)` : ""} | ${done.filter((r) => r.count > 0).length} | ${sum("lines")} | ${sum("count")} | ${sum("accepted")} | ${measured} |`);
  }
  for (const [key, all] of cells) {
    const bad = all.filter((r) => r.failed || r.count > 0 || r.surprises.length > 0);
    if (bad.length === 0) continue;
    out.push("", `## ${key.replaceAll(" | ", ", ")}`, "");
    for (const { name, failed, spoiled = [], surprises = [] } of bad) {
      if (failed) out.push(`- ${name}: not typed: ${failed}`);
      for (const { line, meant, got } of spoiled) out.push(`- ${name}:${line}: \`${meant}\` -> \`${got}\``);
      for (const surprise of surprises) out.push(`- ${name}: ${surprise}`);
    }
  }
  return out.join("\n") + "\n";
}
