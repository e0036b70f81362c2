// The core's markdown as elements: headings, lists, emphasis, code, tables. No address is loaded, and no mark of HTML gets through.
import DOMPurify from "dompurify";
import { marked } from "marked";

const TAGS = ["p", "ul", "ol", "li", "strong", "em", "code", "pre", "h1", "h2", "h3", "h4", "br", "hr", "table", "thead", "tbody", "tr", "th", "td", "blockquote"];

export function sanitized(html: string): string {
  return DOMPurify.sanitize(html, { ALLOWED_TAGS: TAGS, ALLOWED_ATTR: [] });
}

export function fromMarkdown(markdown: string): DocumentFragment {
  const html = marked.parse(markdown, { async: false });
  return DOMPurify.sanitize(html, { ALLOWED_TAGS: TAGS, ALLOWED_ATTR: [], RETURN_DOM_FRAGMENT: true });
}
