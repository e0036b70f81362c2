// The screen of a Neovim, kept from what it tells its user interface, and drawn as HTML.

const css = (number) => `#${number.toString(16).padStart(6, "0")}`;
const escape = (text) => text.replace(/[&<>]/g, (sign) => ({ "&": "&amp;", "<": "&lt;", ">": "&gt;" })[sign]);

export class Grid {
  constructor() {
    this.styles = new Map();
    this.colours = { foreground: 0, background: 0xffffff, special: 0xff0000 };
    this.cursor = [0, 0];
    this.rows = [];
  }

  /** @param {any[][]} events as the notification "redraw" brings them */
  redraw(events) {
    for (const [name, ...calls] of events) {
      for (const call of calls) this[name]?.(...call);
    }
  }

  default_colors_set(foreground, background, special) {
    this.colours = { foreground, background, special };
  }

  hl_attr_define(id, style) {
    this.styles.set(id, style);
  }

  grid_resize(_grid, width, height) {
    this.rows = Array.from({ length: height }, () => this.blank(width));
    this.width = width;
  }

  grid_clear() {
    this.rows = this.rows.map(() => this.blank(this.width));
  }

  grid_cursor_goto(_grid, row, column) {
    this.cursor = [row, column];
  }

  grid_line(_grid, row, column, cells) {
    let style = 0;
    for (const [text, id, times = 1] of cells) {
      style = id ?? style;
      for (let n = 0; n < times; n++) this.rows[row][column++] = { text, style };
    }
  }

  grid_scroll(_grid, top, bottom, left, right, by) {
    const moved = this.rows.map((row) => [...row]);
    for (let row = top; row < bottom; row++) {
      const from = row + by;
      if (from < top || from >= bottom) continue;
      for (let column = left; column < right; column++) moved[row][column] = this.rows[from][column];
    }
    this.rows = moved;
  }

  blank(width) {
    return Array.from({ length: width }, () => ({ text: " ", style: 0 }));
  }

  text() {
    return this.rows.map((row) => row.map((cell) => cell.text).join("").trimEnd()).join("\n").trim();
  }

  html() {
    const lines = this.rows.map((row, y) =>
      row.map(({ text, style }, x) => {
        const here = y === this.cursor[0] && x === this.cursor[1];
        return `<span style="${this.css(this.styles.get(style) ?? {}, here)}">${escape(text)}</span>`;
      }).join(""));
    const { foreground, background } = this.colours;
    return `<!doctype html><meta charset="utf-8"><body style="margin:0"><pre style="margin:0;padding:8px;display:inline-block;
      font:15px/19px 'DejaVu Sans Mono',monospace;color:${css(foreground)};background:${css(background)}">${lines.join("\n")}</pre>`;
  }

  css(style, here) {
    let front = style.foreground ?? this.colours.foreground;
    let back = style.background ?? this.colours.background;
    if ((style.reverse ?? false) !== here) [front, back] = [back, front];
    const out = [`color:${css(front)}`, `background:${css(back)}`];
    if (style.bold) out.push("font-weight:bold");
    if (style.italic) out.push("font-style:italic");
    const line = style.undercurl ? "wavy" : style.underline ? "solid" : style.underdotted ? "dotted" : style.underdashed ? "dashed" : undefined;
    if (line) out.push(`text-decoration:underline ${line} ${css(style.special ?? front)}`);
    if (style.strikethrough) out.push("text-decoration:line-through");
    return out.join(";");
  }
}
