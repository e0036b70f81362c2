// What a line is, and where its first part ends. As in the language: the left edge and the section decide, nothing else.
//
// At the beginning of a line the whole of it is looked at and a token without text says what it is; how many characters its
// first parts take is kept for the tokens that follow.

#include "tree_sitter/parser.h"

#include <stdlib.h>
#include <string.h>

enum Token {
  HEADING, FIELD, ROW, WEIGHED, STEP, ENTRY, NOTE, OTHER,
  HEADING_KEYWORD, LABEL, KEY, NAME, FILE_NAME, VERB, NOTE_TEXT, TEXT,
  COMMENT, LINE_END, BLANK_LINE, ERROR_SENTINEL,
};

enum Kind { NO_KIND, FORMULA_FILE, BATCH_FILE, STOCK_FILE };

enum Section {
  TOP, FORMULA, PHASE, PREMIX, METHOD, NOTES, BATCH, WEIGHED_ROWS, LOG, PACKED, OBSERVATIONS, COMPLAINTS, LOT, LEDGER, UNKNOWN,
};

static const struct { const char *word; uint8_t kind; uint8_t section; } HEADINGS[] = {
  {"formula", FORMULA_FILE, FORMULA}, {"phase", FORMULA_FILE, PHASE}, {"premix", FORMULA_FILE, PREMIX}, {"method", FORMULA_FILE, METHOD},
  {"batch", BATCH_FILE, BATCH}, {"weighed", BATCH_FILE, WEIGHED_ROWS}, {"log", BATCH_FILE, LOG}, {"packed", BATCH_FILE, PACKED},
  {"observations", BATCH_FILE, OBSERVATIONS}, {"complaints", BATCH_FILE, COMPLAINTS},
  {"lot", STOCK_FILE, LOT}, {"ledger", STOCK_FILE, LEDGER}, {"notes", NO_KIND, NOTES},
};

static const char *const UNITS[] = {
  "percent", "g", "mg", "kg", "gram", "grams", "kilogram", "kilograms", "milligram", "milligrams", "oz", "ounce", "ounces", "lb", "lbs",
  "pound", "pounds", "ml", "millilitre", "millilitres", "milliliter", "milliliters", "l", "litre", "litres", "liter", "liters", "tsp",
  "teaspoon", "teaspoons", "tbsp", "tbsps", "tablespoon", "tablespoons", "cup", "cups", "drop", "drops", "part", "parts", "piece", "pieces", "pcs",
};

// Longer lines are not read by the language either.
#define LONGEST 4096

typedef struct {
  uint8_t kind, section, quoted;
  // How many characters the keyword or name takes, and the label behind a keyword.
  uint16_t first, second;
} State;

typedef struct {
  int32_t at[LONGEST];
  unsigned length;
} Text;

static bool is_blank(int32_t c) {
  return c == ' ' || c == '\t' || c == 0xA0 || c == 0x2007 || c == 0x2009 || c == 0x202F || c == 0x3000;
}
static bool is_break(int32_t c) { return c == '\n' || c == '\r'; }
static bool is_quote(int32_t c) { return c == '"' || c == 0x201C || c == 0x201D || c == 0x201E; }
static bool is_digit(int32_t c) { return c >= '0' && c <= '9'; }
static bool is_ascii_letter(int32_t c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
static int32_t lower(int32_t c) { return c >= 'A' && c <= 'Z' ? c + 32 : c; }
static bool is_letter(int32_t c) { return is_ascii_letter(c) || c > 0xBF; }

// The word at `from` up to a blank.
static unsigned word_end(const Text *t, unsigned from, unsigned end) {
  while (from < end && !is_blank(t->at[from])) from++;
  return from;
}
static unsigned skip_blanks(const Text *t, unsigned from, unsigned end) {
  while (from < end && is_blank(t->at[from])) from++;
  return from;
}
static bool same(const Text *t, unsigned from, unsigned end, const char *word) {
  size_t n = strlen(word);
  if (end - from != n) return false;
  for (size_t i = 0; i < n; i++) if (lower(t->at[from + i]) != word[i]) return false;
  return true;
}

// A `#` at the start or after a blank, not before a digit, not inside quotes that are closed.
static unsigned comment_start(const Text *t) {
  unsigned quotes = 0;
  for (unsigned i = 0; i < t->length; i++) {
    if (is_quote(t->at[i])) quotes++;
    if (t->at[i] != '#' || (i > 0 && !is_blank(t->at[i - 1])) || (i + 1 < t->length && is_digit(t->at[i + 1]))) continue;
    bool closed = false;
    for (unsigned k = i; k < t->length; k++) closed |= is_quote(t->at[k]);
    if (quotes % 2 == 0 || !closed) return i;
  }
  return t->length;
}

// The end of a number, or `from` where none begins.
static unsigned number_end(const Text *t, unsigned from, unsigned end) {
  unsigned at = from;
  while (at < end && is_digit(t->at[at])) at++;
  if (at == from) return from;
  if (at + 1 < end && (t->at[at] == '.' || t->at[at] == ',') && is_digit(t->at[at + 1])) {
    at++;
    while (at < end && is_digit(t->at[at])) at++;
  }
  return at;
}

// The end of a unit, or `from` where none begins.
static unsigned unit_end(const Text *t, unsigned from, unsigned end) {
  if (from < end && (t->at[from] == '%' || t->at[from] == 0xFF05)) {
    unsigned by = skip_blanks(t, from + 1, end);
    return same(t, by, word_end(t, by, end), "w/w") ? by + 3 : from + 1;
  }
  unsigned word = from;
  while (word < end && is_ascii_letter(t->at[word])) word++;
  unsigned behind = word < end && t->at[word] == '.' ? word + 1 : word;
  if (same(t, from, word, "fl") || same(t, from, word, "fluid")) {
    unsigned next = skip_blanks(t, behind, end), last = next;
    while (last < end && is_ascii_letter(t->at[last])) last++;
    if (same(t, next, last, "oz") || same(t, next, last, "ounce") || same(t, next, last, "ounces")) {
      return last < end && t->at[last] == '.' ? last + 1 : last;
    }
  }
  for (size_t i = 0; i < sizeof UNITS / sizeof *UNITS; i++) if (same(t, from, word, UNITS[i])) return behind;
  return from;
}

// The end of a number with its unit, or `from`.
static unsigned measure_end(const Text *t, unsigned from, unsigned end) {
  unsigned number = number_end(t, from, end);
  if (number == from) return from;
  unsigned unit = skip_blanks(t, number, end), behind = unit_end(t, unit, end);
  return behind == unit ? from : behind;
}

// Where a q.s. that is spelled out begins.
static bool fill_start(const Text *t, unsigned from, unsigned end, unsigned *at) {
  for (unsigned w = skip_blanks(t, from, end); w < end; w = skip_blanks(t, word_end(t, w, end), end)) {
    unsigned stop = word_end(t, w, end), next = skip_blanks(t, stop, end), next_stop = word_end(t, next, end), n = 0;
    char bare[12] = {0};
    for (unsigned i = w; i < stop && n < 11; i++) if (t->at[i] != '.' && t->at[i] != ',') bare[n++] = (char)(t->at[i] < 128 ? lower(t->at[i]) : '?');
    while (next_stop > next && (t->at[next_stop - 1] == '.' || t->at[next_stop - 1] == ',')) next_stop--;
    bool comma = stop > w && t->at[stop - 1] == ',';
    if (!strcmp(bare, "qs") || (!strcmp(bare, "q") && same(t, next, next_stop, "s")) ||
        (!strcmp(bare, "quantum") && same(t, next, next_stop, "satis")) ||
        ((!strcmp(bare, "balance") || !strcmp(bare, "remainder")) && (next >= end || comma))) {
      *at = w;
      return true;
    }
  }
  return false;
}

// Where the amount at the end of a row begins; false where it has none.
static bool amount_start(const Text *t, unsigned from, unsigned end, unsigned *at) {
  if (fill_start(t, from, end, at)) return true;
  unsigned before = from, earlier = from;
  bool has_before = false, has_earlier = false;
  for (unsigned w = skip_blanks(t, from, end); w < end; w = skip_blanks(t, word_end(t, w, end), end)) {
    unsigned stop = word_end(t, w, end);
    if (is_digit(t->at[w])) {
      unsigned number = number_end(t, w, end), measure = measure_end(t, w, end);
      bool whole = measure > w && skip_blanks(t, measure, end) == end;
      bool bare = number > w && skip_blanks(t, number, end) == end;
      unsigned before_end = word_end(t, before, end);
      bool goal = has_before && before > from && (same(t, before, before_end, "to") || same(t, before, before_end, "ad"));
      if (goal && (whole || (bare && same(t, w, number, "100")))) { *at = before; return true; }
      if (has_before && same(t, before, before_end, "ph") && (whole || bare)) {
        unsigned earlier_end = word_end(t, earlier, end);
        *at = has_earlier && (same(t, earlier, earlier_end, "to") || same(t, earlier, earlier_end, "ad")) ? earlier : before;
        return true;
      }
      if (whole) { *at = w; return true; }
      // `glycerin   5` lacks its unit; in `polysorbate 20` the number is the name's.
      if (bare && w > from + 1 && (t->at[w - 1] == '\t' || is_blank(t->at[w - 2]))) { *at = w; return true; }
    }
    earlier = before; has_earlier = has_before;
    before = w; has_before = true;
    (void)stop;
  }
  return false;
}

// `as preservative` at the end: where the row ends without it.
static unsigned without_purpose(const Text *t, unsigned from, unsigned end) {
  unsigned last = end;
  for (unsigned w = skip_blanks(t, from, end); w < end; w = skip_blanks(t, word_end(t, w, end), end)) {
    if (w > from && same(t, w, word_end(t, w, end), "as")) last = w;
  }
  if (last == end) return end;
  unsigned words = 0;
  for (unsigned w = skip_blanks(t, last + 2, end); w < end; w = skip_blanks(t, word_end(t, w, end), end)) words++;
  for (unsigned i = last + 2; i < end; i++) if (!is_letter(t->at[i]) && t->at[i] != '-' && !is_blank(t->at[i])) return end;
  if (words < 1 || words > 3) return end;
  while (last > from && is_blank(t->at[last - 1])) last--;
  return last;
}

static unsigned trimmed(const Text *t, unsigned from, unsigned end) {
  while (end > from && is_blank(t->at[end - 1])) end--;
  return end;
}

// `key:` at the beginning: a word or up to four.
static unsigned key_end(const Text *t, unsigned end) {
  unsigned words = 0, at = 0;
  bool inside = false;
  for (; at < end && t->at[at] != ':'; at++) {
    int32_t c = t->at[at];
    if (is_blank(c)) { inside = false; continue; }
    if (!is_letter(c) && c != '-' && c != '_') return 0;
    if (!inside) words++;
    inside = true;
  }
  return at < end && words >= 1 && words <= 4 ? trimmed(t, 0, at) : 0;
}

// The quoted text at the beginning with its quotes, or 0.
static unsigned quoted_end(const Text *t, unsigned end) {
  if (end == 0 || !is_quote(t->at[0])) return 0;
  for (unsigned i = 1; i < end; i++) if (is_quote(t->at[i])) return i + 1;
  return end;
}

static bool ends_in_amount(const Text *t, unsigned end) {
  unsigned at;
  return amount_start(t, 0, without_purpose(t, 0, end), &at);
}

// Where the weights of a weighed row begin: a number or `?`, and behind it only what may follow one.
static unsigned weights_start(const Text *t, unsigned end) {
  for (unsigned w = word_end(t, 0, end); (w = skip_blanks(t, w, end)) < end; w = word_end(t, w, end)) {
    unsigned behind = t->at[w] == '?' ? w + 1 : measure_end(t, w, end);
    if (behind == w) behind = number_end(t, w, end);
    if (behind == w) {
      if (same(t, w, word_end(t, w, end), "of")) {
        unsigned planned = skip_blanks(t, w + 2, end);
        if (measure_end(t, planned, end) > planned) return w;
      }
      continue;
    }
    unsigned next = skip_blanks(t, behind, end), stop = word_end(t, next, end);
    if (next == end || t->at[next] == ',' || same(t, next, stop, "of") || same(t, next, stop, "lot")) return w;
  }
  return end;
}

// A heading of this kind of file; sets the section and the kind.
static bool heading(State *s, const Text *t, unsigned end) {
  unsigned word = 0;
  while (word < end && is_ascii_letter(t->at[word])) word++;
  if (word < end && !is_blank(t->at[word]) && !is_quote(t->at[word]) && t->at[word] != ':') return false;
  for (size_t i = 0; i < sizeof HEADINGS / sizeof *HEADINGS; i++) {
    if (!same(t, 0, word, HEADINGS[i].word)) continue;
    uint8_t kind = HEADINGS[i].kind;
    if (kind != NO_KIND && s->kind != NO_KIND && s->kind != kind) return false;
    bool colon = word < end && t->at[word] == ':';
    // `batch: 250 g` at the head of a formula is a field.
    if (colon && s->kind == NO_KIND) return false;
    unsigned rest = skip_blanks(t, word, end);
    if (s->section == NOTES && rest < end) {
      // In free text a sentence may begin with `Phase` or `Method`.
      unsigned stop = word_end(t, rest, end), next = skip_blanks(t, stop, end);
      bool code = false;
      for (unsigned k = rest; k < stop; k++) code |= is_digit(t->at[k]) || (t->at[k] >= 'A' && t->at[k] <= 'Z');
      bool short_label = stop - rest <= 3 && code;
      if (!short_label && !is_quote(t->at[rest]) && next < end && kind != BATCH_FILE && kind != STOCK_FILE) return false;
    }
    if (kind != NO_KIND) s->kind = kind;
    s->section = HEADINGS[i].section;
    s->first = (uint16_t)word;
    s->second = 0;
    bool labelled = s->section == PHASE || s->section == PREMIX || s->section == BATCH || s->section == LOT;
    if (s->section == FORMULA && rest < end && !is_quote(t->at[rest])) {
      s->second = (uint16_t)(trimmed(t, rest, end) - rest);
    } else if (labelled && rest < end && !is_quote(t->at[rest])) {
      static const char *const STARTERS[] = {"at", "below", "under", "above", "over", "between", "dry", "hold", "held", "into", "of"};
      unsigned stop = rest;
      while (stop < end && !is_blank(t->at[stop]) && t->at[stop] != ',' && !is_quote(t->at[stop])) stop++;
      bool starter = false;
      for (size_t k = 0; k < sizeof STARTERS / sizeof *STARTERS; k++) starter |= same(t, rest, stop, STARTERS[k]);
      if (!starter && t->at[rest] != '<' && t->at[rest] != '>' && t->at[rest] != '(') s->second = (uint16_t)(stop - rest);
    }
    return true;
  }
  return false;
}

static enum Token row(State *s, const Text *t, unsigned end) {
  unsigned quoted = quoted_end(t, end), at;
  s->quoted = quoted > 0;
  end = without_purpose(t, 0, end);
  if (quoted) s->first = (uint16_t)quoted;
  else s->first = (uint16_t)(amount_start(t, 0, end, &at) && at > 0 ? trimmed(t, 0, at) : end);
  return ROW;
}

static enum Token other(State *s, unsigned end) {
  s->first = (uint16_t)end;
  return OTHER;
}

// What a line is that is not blank and no comment.
static enum Token classify(State *s, const Text *t, bool indented) {
  unsigned end = trimmed(t, 0, s->section == NOTES ? t->length : comment_start(t));
  s->quoted = 0;
  s->second = 0;
  if (!indented && heading(s, t, trimmed(t, 0, comment_start(t)))) return HEADING;
  unsigned key;
  switch (s->section) {
    case NOTES:
      s->first = (uint16_t)end;
      return NOTE;
    case TOP: case FORMULA: case BATCH: case LOT:
      if ((key = key_end(t, end)) > 0) { s->first = (uint16_t)key; return FIELD; }
      if (ends_in_amount(t, end)) return row(s, t, end);
      break;
    case PHASE: case PREMIX:
      if (indented || ends_in_amount(t, end) || quoted_end(t, end)) return row(s, t, end);
      break;
    case METHOD: {
      unsigned stop = 0;
      while (stop < end && is_letter(t->at[stop])) stop++;
      s->first = (uint16_t)stop;
      return STEP;
    }
    case WEIGHED_ROWS: {
      unsigned quoted = quoted_end(t, end), at = weights_start(t, end);
      if (!indented && at == end) break;
      s->quoted = quoted > 0;
      s->first = (uint16_t)(quoted ? quoted : trimmed(t, 0, at));
      return WEIGHED;
    }
    case LOG: case PACKED: case OBSERVATIONS: case COMPLAINTS: case LEDGER:
      if (indented || is_digit(t->at[0]) || t->at[0] == '+') return ENTRY;
      break;
    default:
      return other(s, end);
  }
  if (!indented) s->section = UNKNOWN;
  return other(s, end);
}

static bool take(TSLexer *lexer, uint16_t *count, enum Token token) {
  while (is_blank(lexer->lookahead)) lexer->advance(lexer, true);
  for (; *count > 0; (*count)--) {
    if (lexer->eof(lexer) || is_break(lexer->lookahead)) return false;
    lexer->advance(lexer, false);
  }
  lexer->mark_end(lexer);
  lexer->result_symbol = token;
  return true;
}

static bool line_break(TSLexer *lexer) {
  if (lexer->lookahead == '\r') {
    lexer->advance(lexer, false);
    if (lexer->lookahead == '\n') lexer->advance(lexer, false);
    return true;
  }
  if (lexer->lookahead != '\n') return false;
  lexer->advance(lexer, false);
  return true;
}

bool tree_sitter_formula_external_scanner_scan(void *payload, TSLexer *lexer, const bool *valid) {
  State *s = payload;
  if (valid[ERROR_SENTINEL]) return false;

  static const enum Token FIRST[] = {HEADING_KEYWORD, KEY, NAME, FILE_NAME, VERB, NOTE_TEXT, TEXT};
  for (size_t i = 0; i < sizeof FIRST / sizeof *FIRST; i++) {
    enum Token token = FIRST[i];
    if (!valid[token] || s->first == 0) continue;
    if ((token == NAME && s->quoted) || (token == FILE_NAME && !s->quoted)) continue;
    return take(lexer, &s->first, token);
  }
  if (valid[LABEL] && s->second > 0) return take(lexer, &s->second, LABEL);

  unsigned blanks = 0;
  if (valid[HEADING]) {
    // The beginning of a line.
    lexer->mark_end(lexer);
    for (; is_blank(lexer->lookahead); blanks++) lexer->advance(lexer, true);
    if (lexer->eof(lexer)) return false;
    if (is_break(lexer->lookahead)) {
      line_break(lexer);
      lexer->mark_end(lexer);
      lexer->result_symbol = BLANK_LINE;
      return valid[BLANK_LINE];
    }
    Text text;
    text.length = 0;
    bool comment = false;
    while (!lexer->eof(lexer) && !is_break(lexer->lookahead)) {
      if (text.length < LONGEST) text.at[text.length++] = lexer->lookahead;
      lexer->advance(lexer, false);
      if (text.length == 1 && text.at[0] == '#' && s->section != NOTES && !is_digit(lexer->lookahead)) comment = true;
    }
    if (comment) {
      lexer->mark_end(lexer);
      lexer->result_symbol = COMMENT;
      return valid[COMMENT];
    }
    enum Token token = classify(s, &text, blanks > 0);
    lexer->result_symbol = token;
    return valid[token];
  }

  for (; is_blank(lexer->lookahead); blanks++) lexer->advance(lexer, true);
  if (valid[COMMENT] && blanks > 0 && lexer->lookahead == '#') {
    lexer->advance(lexer, false);
    if (is_digit(lexer->lookahead)) return false;
    while (!lexer->eof(lexer) && !is_break(lexer->lookahead)) lexer->advance(lexer, false);
    lexer->mark_end(lexer);
    lexer->result_symbol = COMMENT;
    return true;
  }
  if (valid[LINE_END] && (lexer->eof(lexer) || is_break(lexer->lookahead))) {
    line_break(lexer);
    lexer->mark_end(lexer);
    lexer->result_symbol = LINE_END;
    s->first = s->second = 0;
    return true;
  }
  return false;
}

void *tree_sitter_formula_external_scanner_create(void) { return calloc(1, sizeof(State)); }
void tree_sitter_formula_external_scanner_destroy(void *payload) { free(payload); }
unsigned tree_sitter_formula_external_scanner_serialize(void *payload, char *buffer) {
  memcpy(buffer, payload, sizeof(State));
  return sizeof(State);
}
void tree_sitter_formula_external_scanner_deserialize(void *payload, const char *buffer, unsigned length) {
  memset(payload, 0, sizeof(State));
  if (length == sizeof(State)) memcpy(payload, buffer, length);
}
