// Formulas to begin with, a dozen kinds of product. They are the project's own examples and starters, judged in its tests.
import bathSalt from "../../starters/bath-salt.formula";
import bodyLotion from "../../../../src/cli/starter.formula";
import conditioner from "../../../../examples/conditioner-rinse.formula";
import eveningSerum from "../../../../examples/evening-gel-serum.formula";
import faceCream from "../../starters/first-cream.formula";
import faceOil from "../../starters/face-oil.formula";
import handCream from "../../../../examples/gardeners-hand-cream.formula";
import hikeBalm from "../../../../examples/winter-hike-balm.formula";
import lipBalm from "../../starters/lip-balm.formula";
import mask from "../../../../examples/oat-clay-mask.formula";
import salve from "../../../../examples/marigold-salve.formula";
import scrub from "../../../../examples/sugar-body-scrub.formula";
import shampoo from "../../../../examples/mild-shampoo.formula";
import toner from "../../../../examples/cucumber-toner.formula";

export interface Starter {
  kind: string;
  text: string;
}

/** The one of the first visit: a warning waits in it. */
export const FIRST: Starter = { kind: "Face cream", text: faceCream };

export const STARTERS: Starter[] = [
  { kind: "Body lotion", text: bodyLotion.replace("NAME", "Body lotion") },
  { kind: "Hand cream", text: handCream },
  { kind: "Balm-cream", text: hikeBalm },
  { kind: "Serum", text: eveningSerum },
  { kind: "Toner", text: toner },
  { kind: "Shampoo", text: shampoo },
  { kind: "Conditioner", text: conditioner },
  { kind: "Lip balm", text: lipBalm },
  { kind: "Salve", text: salve },
  { kind: "Body scrub", text: scrub },
  { kind: "Clay mask", text: mask },
  { kind: "Face oil", text: faceOil },
  { kind: "Bath salt", text: bathSalt },
];

/** The text under another name. */
export const named = (text: string, name: string) => text.replace(/^(\s*formula\s+)"[^"]*"/m, (_, before: string) => `${before}"${name.replaceAll('"', "'")}"`);

/** The file for a name: lower case, hyphens between words. */
export function fileFor(name: string, taken: (path: string) => boolean): string {
  const words = name.toLowerCase().replace(/['’]/g, "").match(/[\p{L}\p{N}]+/gu) ?? ["formula"];
  const stem = words.join("-");
  for (let n = 1; ; n++) {
    const path = n === 1 ? `${stem}.formula` : `${stem}-${n}.formula`;
    if (!taken(path)) return path;
  }
}
