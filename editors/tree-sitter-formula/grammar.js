/// <reference types="tree-sitter-cli/dsl" />
// Formulas, batch records and stock lists. A line is read by itself: src/scanner.c looks at its left edge and at the section it
// stands in, as the language does (grammar/README.md of the project), and says what the line is and where its name ends.

const any_case = (word) => new RegExp([...word].map((c) => (/[a-z]/i.test(c) ? `[${c.toLowerCase()}${c.toUpperCase()}]` : c)).join(""));
const keyword = (...words) => token(prec(2, choice(...words.map(any_case))));
const UNITS = [
  "percent", "mg", "g", "kg", "gram", "grams", "kilogram", "kilograms", "milligram", "milligrams", "oz", "ounce", "ounces",
  "lb", "lbs", "pound", "pounds", "ml", "millilitre", "millilitres", "milliliter", "milliliters", "l", "litre", "litres", "liter", "liters",
  "fl oz", "tsp", "teaspoon", "teaspoons", "tbsp", "tablespoon", "tablespoons", "cup", "cups", "drop", "drops", "part", "parts",
  "piece", "pieces", "pcs",
];
const TIMES = ["min", "mins", "minute", "minutes", "h", "hr", "hrs", "hour", "hours", "s", "sec", "second", "seconds", "d", "day", "days", "w", "week", "weeks", "months", "month"];

module.exports = grammar({
  name: "formula",

  extras: () => [/[ \t\u00a0\u2007\u2009\u202f\u3000]/],

  // The order is that of the scanner. Those with an underscore and no text of their own say what the line is.
  externals: ($) => [
    $._heading, $._field, $._row, $._weighed, $._step, $._entry, $._note, $._other,
    $.heading_keyword, $.label, $.key, $.name, $.file, $.verb, $.note, $.text,
    $.comment, $._line_end, $._blank_line, $._error_sentinel,
  ],

  rules: {
    source_file: ($) => seq(repeat($._line), repeat($.section)),

    section: ($) => prec.right(seq($.heading, repeat($._line))),

    _line: ($) => choice($._blank_line, seq(choice($.field, $.row, $.weighed, $.step, $.entry, $.notes, $.other, $.comment), $._line_end)),

    heading: ($) => seq($._heading, $.heading_keyword, optional($.label), repeat($._item), optional($.comment), $._line_end),

    field: ($) => seq($._field, $.key, ":", optional(alias(repeat1($._item), $.value)), optional($.comment)),

    row: ($) => seq($._row, choice($.name, $.file), optional($.amount), optional($.purpose), optional($.comment)),
    amount: ($) => repeat1($._amount_item),
    purpose: ($) => seq($.as, repeat1(choice($.word, $.punctuation))),

    weighed: ($) => seq($._weighed, choice($.name, $.file), repeat($._item), optional($.comment)),

    step: ($) => seq($._step, optional($.verb), repeat($._item), optional($.comment)),

    // A line of a log, of observations, of what was packed, of a ledger, of complaints.
    entry: ($) => seq($._entry, repeat1($._item), optional($.comment)),

    notes: ($) => seq($._note, $.note),

    // A line that is no line of its section.
    other: ($) => seq($._other, $.text, optional($.comment)),

    _item: ($) => choice($._amount_item, $.as),
    _amount_item: ($) =>
      choice($.measure, $.temperature, $.duration, $.number, $.date, $.clock, $.fill, $.string, $.keyword, $.not_weighed, $.unit, $.word, $.punctuation),

    measure: ($) => prec(2, seq($.number, $.unit)),
    temperature: ($) => prec(2, seq($.number, $.degree)),
    duration: ($) => prec(2, seq($.number, $.time)),

    number: () => token(prec(1, /[0-9]+([.,][0-9]+)?/)),
    unit: () => token(prec(3, choice("%", "％", /%[ \t]*[wW]\/[wW]/, ...UNITS.map(any_case)))),
    time: () => token(prec(3, choice(...TIMES.map(any_case)))),
    degree: () => token(prec(3, choice(/[°º˚][ \t]*[cCfF]/, "℃", "℉", /[dD]egrees?[ \t]+[cCfF]/, /[cCfF]/))),
    date: () => token(prec(4, /[0-9]{4}-[0-9]{2}-[0-9]{2}/)),
    clock: () => token(prec(4, /[0-9]{1,2}:[0-9]{2}/)),
    fill: () => token(prec(3, choice(/[qQ][ \t]*\.?[ \t]*[sS]\.?/, /[bB][aA][lL][aA][nN][cC][eE]/, /[rR][eE][mM][aA][iI][nN][dD][eE][rR]/))),
    string: () => /["“”„][^"“”„\r\n]*["“”„]?/,
    as: () => keyword("as"),
    keyword: () =>
      keyword("at", "below", "above", "between", "and", "into", "dry", "hold", "to", "about", "most", "ph", "of", "lot", "version", "was", "for", "then", "until"),
    not_weighed: () => "?",
    word: () => /[^ \t\u00a0\u2007\u2009\u202f\u3000\r\n"“”„0-9,;:()%？?][^ \t\u00a0\u2007\u2009\u202f\u3000\r\n"“”„,;:()]*/,
    punctuation: () => /[,;:()#%]/,
  },
});
