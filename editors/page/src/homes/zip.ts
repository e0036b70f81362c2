// All files as one zip, out and in.
import { strFromU8, strToU8, unzipSync, zipSync } from "fflate";
import { MOST_BYTES, isShown } from "./home";

/** A zip may claim to hold anything: no more than this is unpacked. */
const MOST_FILES = 20_000;

export function packed(files: Map<string, string>): Uint8Array {
  return zipSync(Object.fromEntries([...files].map(([path, text]) => [path, strToU8(text)])));
}

/** The files of a zip that the page knows; the names of those that were left out. */
export function unpacked(zip: Uint8Array): { files: Map<string, string>; leftOut: string[] } {
  const files = new Map<string, string>();
  const leftOut: string[] = [];
  let count = 0;
  const taken = unzipSync(zip, {
    filter: ({ name, originalSize }) => {
      const isFolder = name.endsWith("/");
      const isFine = isShown(name) && !name.split("/").includes("..") && originalSize <= MOST_BYTES && ++count <= MOST_FILES;
      if (!isFine && !isFolder) leftOut.push(name);
      return isFine && !isFolder;
    },
  });
  for (const [name, bytes] of Object.entries(taken)) files.set(name, strFromU8(bytes));
  return { files, leftOut };
}
