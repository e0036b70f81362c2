#!/usr/bin/env python3
"""Draws up src/order.ld anew: which functions a language server runs, so that the linker lays them side by side.

    CARGO_PROFILE_RELEASE_STRIP=none cargo build --release
    python3 benches/order.py target/release/phasewright

Needs valgrind (callgrind) and nm. A server is driven through one editing session over the examples; what it ran is written down by name, without the
hash that the compiler adds. A name that a later version no longer has does no harm: its place is empty. Run it again when the memory of
the server (docs/speed.md) has grown.
"""
import json
import os
import pathlib
import re
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
SCRIPT = ROOT / "src" / "order.ld"
FEATURES = ["hover", "completion", "documentSymbol", "codeAction", "formatting", "inlayHint", "foldingRange", "semanticTokens/full",
            "codeLens", "documentLink", "documentHighlight", "definition", "selectionRange"]


LONG = "formula \"Long\"\n  product: hand cream, leave-on\n  sold in: EU\n\nphase A at 75 °C\n  water  q.s.\n"


class Client:
    def __init__(self, command):
        self.p = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.last = 0

    def write(self, message):
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        self.p.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.p.stdin.flush()

    def send(self, method, params, ask=False):
        message = {"method": method, "params": params}
        if ask:
            self.last += 1
            message["id"] = self.last
        self.write(message)
        while ask:
            length = 0
            while line := self.p.stdout.readline().strip():
                if line.lower().startswith(b"content-length"):
                    length = int(line.split(b":")[1])
            answer = json.loads(self.p.stdout.read(length))
            if "method" not in answer and answer.get("id") == self.last:
                return answer
            if "method" in answer and "id" in answer:
                self.write({"id": answer["id"], "result": None})


# All that an editor can do, so that no way through the server is missed.
CAPABILITIES = {
    "general": {"positionEncodings": ["utf-16"]},
    "workspace": {
        "didChangeWatchedFiles": {"dynamicRegistration": True},
        "diagnostics": {"refreshSupport": True},
        "inlayHint": {"refreshSupport": True},
    },
    "textDocument": {
        "diagnostic": {},
        "publishDiagnostics": {"relatedInformation": True, "tagSupport": {"valueSet": [1]}},
        "hover": {"contentFormat": ["markdown"]},
        "completion": {
            "completionItem": {
                "snippetSupport": True,
                "documentationFormat": ["markdown"],
                "resolveSupport": {"properties": ["documentation"]},
            },
            "completionList": {"itemDefaults": ["editRange"]},
        },
        "documentSymbol": {"hierarchicalDocumentSymbolSupport": True},
    },
}


def session(binary, out, pulls):
    capabilities = json.loads(json.dumps(CAPABILITIES))
    if not pulls:
        del capabilities["textDocument"]["diagnostic"]
    c = Client(["valgrind", "--tool=callgrind", f"--callgrind-out-file={out}", "--demangle=no", "-q", binary, "serve"])
    c.send("initialize", {"processId": os.getpid(), "rootUri": ROOT.as_uri(), "capabilities": capabilities}, ask=True)
    c.send("initialized", {})
    texts = {path.as_uri(): path.read_text() for folder in ["examples", "benches"] for path in sorted((ROOT / folder).rglob("*.formula"))}
    # Real formulas are short; long ones take other ways, as sorting does.
    rows = [row for text in texts.values() for row in text.splitlines() if row.startswith("  ") and row.rstrip().endswith("%")]
    texts[(ROOT / "examples" / "long.formula").as_uri()] = LONG + "\n".join(rows) + "\n"
    for uri, text in texts.items():
        c.send("textDocument/didOpen", {"textDocument": {"uri": uri, "languageId": "formula", "version": 1, "text": text}})
        see = lambda: pulls and c.send("textDocument/diagnostic", {"textDocument": {"uri": uri}}, ask=True)
        see()
        version = 1
        for n, line in enumerate(text.splitlines()):
            at = {"line": n, "character": len(line) // 2}
            whole = {"start": {"line": 0, "character": 0}, "end": {"line": n, "character": len(line)}}
            for text_there in ["9", ""]:
                version += 1
                end = {"line": n, "character": len(line) + (0 if text_there else 1)}
                change = {"range": {"start": {"line": n, "character": len(line)}, "end": end}, "text": text_there}
                c.send("textDocument/didChange", {"textDocument": {"uri": uri, "version": version}, "contentChanges": [change]})
                see()
            for feature in FEATURES if n % 4 == 0 else ["hover", "completion"]:
                params = {"textDocument": {"uri": uri}, "position": at, "positions": [at], "range": whole,
                          "context": {"diagnostics": []}, "options": {"tabSize": 2, "insertSpaces": True}}
                c.send("textDocument/" + feature, params, ask=True)
        if uri != list(texts)[-1]:
            c.send("textDocument/didClose", {"textDocument": {"uri": uri}})
    c.send("shutdown", None, ask=True)
    c.send("exit", None)
    c.p.wait()


def executed(out, own):
    """Section names of what ran of its own functions, the parts that change from build to build as wildcards."""
    names = set()
    for line in pathlib.Path(out).read_text().splitlines():
        if m := re.match(r"c?fn=\(\d+\) (\S+)", line):
            name = re.sub(r"'\d+$", "", m.group(1))
            if name in own:
                names.add(re.sub(r"Cs[0-9A-Za-z]{8,12}_", "Cs*_", name))
    return names


def main():
    binary = str(pathlib.Path(sys.argv[1]).resolve())
    symbols = subprocess.run(["nm", binary], check=True, capture_output=True, text=True).stdout
    own = set(re.findall(r"^[0-9a-f]+ [tTwW] (\S+)$", symbols, re.M))
    names = set()
    for pulls in [True, False]:
        with tempfile.NamedTemporaryFile() as out:
            session(binary, out.name, pulls)
            names |= executed(out.name, own)
    names = sorted(names)
    text = SCRIPT.read_text()
    begin, end = "    /* what a server runs: benches/order.py */\n", "  }\n}\nINSERT BEFORE .text;\n"
    head, rest = text.split(begin)
    tail = rest.split(end, 1)[1]
    # The compiler puts what it thinks cold into sections with a word before the name.
    sections = lambda name: f".text.*{name}" if name.startswith("_R") else f".text.{name} .text.*.{name}"
    listed = "".join(f"    *({sections(name)})\n" for name in names)
    SCRIPT.write_text(head + begin + listed + end + tail)
    print(f"{len(names)} names")


if __name__ == "__main__":
    main()
