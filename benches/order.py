#!/usr/bin/env python3
"""Draws up src/order.ld anew: which functions a language server runs, so that the linker lays them side by side.

    CARGO_PROFILE_RELEASE_STRIP=none cargo build --release
    python3 benches/order.py target/release/phasewright

Needs valgrind (callgrind). A server is driven through one editing session over the examples; what it ran is written down by name, without the
hash that the compiler adds. A name that a later version no longer has does no harm: its place is empty. Run it again when the memory of
the server (docs/speed.md) has grown.
"""
import json
import pathlib
import re
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parent.parent
SCRIPT = ROOT / "src" / "order.ld"
FEATURES = ["hover", "completion", "documentSymbol", "codeAction", "formatting", "inlayHint", "foldingRange", "semanticTokens/full",
            "codeLens", "documentLink", "documentHighlight", "definition", "selectionRange"]


class Client:
    def __init__(self, command):
        self.p = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.last = 0

    def send(self, method, params, ask=False):
        message = {"jsonrpc": "2.0", "method": method, "params": params}
        if ask:
            self.last += 1
            message["id"] = self.last
        body = json.dumps(message).encode()
        self.p.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.p.stdin.flush()
        while ask:
            length = 0
            while line := self.p.stdout.readline().strip():
                if line.lower().startswith(b"content-length"):
                    length = int(line.split(b":")[1])
            answer = json.loads(self.p.stdout.read(length))
            if answer.get("id") == self.last and "method" not in answer:
                return answer


def session(binary, out):
    # All that an editor can do, so that no way through the server is missed.
    capabilities = {
        "general": {"positionEncodings": ["utf-16"]},
        "textDocument": {
            "diagnostic": {},
            "publishDiagnostics": {"relatedInformation": True},
            "hover": {"contentFormat": ["markdown"]},
            "completion": {"completionItem": {"snippetSupport": True, "documentationFormat": ["markdown"],
                                              "resolveSupport": {"properties": ["documentation"]}},
                           "completionList": {"itemDefaults": ["editRange"]}},
            "documentSymbol": {"hierarchicalDocumentSymbolSupport": True},
        },
    }
    c = Client(["valgrind", "--tool=callgrind", f"--callgrind-out-file={out}", "--demangle=no", "-q", binary, "serve"])
    c.send("initialize", {"processId": None, "rootUri": ROOT.as_uri(), "capabilities": capabilities}, ask=True)
    c.send("initialized", {})
    for path in sorted((ROOT / "examples").rglob("*.formula")):
        text, uri = path.read_text(), path.as_uri()
        c.send("textDocument/didOpen", {"textDocument": {"uri": uri, "languageId": "formula", "version": 1, "text": text}})
        c.send("textDocument/diagnostic", {"textDocument": {"uri": uri}}, ask=True)
        version = 1
        for n, line in enumerate(text.splitlines()):
            at = {"line": n, "character": len(line) // 2}
            whole = {"start": {"line": n, "character": 0}, "end": {"line": n, "character": len(line)}}
            for text_there in ["9", ""]:
                version += 1
                end = {"line": n, "character": len(line) + (0 if text_there else 1)}
                change = {"range": {"start": {"line": n, "character": len(line)}, "end": end}, "text": text_there}
                c.send("textDocument/didChange", {"textDocument": {"uri": uri, "version": version}, "contentChanges": [change]})
                c.send("textDocument/diagnostic", {"textDocument": {"uri": uri}}, ask=True)
            for feature in FEATURES if n % 4 == 0 else ["hover", "completion"]:
                params = {"textDocument": {"uri": uri}, "position": at, "positions": [at], "range": whole,
                          "context": {"diagnostics": []}, "options": {"tabSize": 2, "insertSpaces": True}}
                c.send("textDocument/" + feature, params, ask=True)
        c.send("textDocument/didClose", {"textDocument": {"uri": uri}})
    c.send("shutdown", None, ask=True)
    c.send("exit", None)
    c.p.wait()


def executed(out):
    """Section names of what ran, the parts that change from build to build as wildcards."""
    names = set()
    for line in pathlib.Path(out).read_text().splitlines():
        if m := re.match(r"c?fn=\(\d+\) (_ZN\S+|_R\S+)", line):
            name = re.sub(r"'\d+$", "", m.group(1))
            name = re.sub(r"17h[0-9a-f]{16}E", "17h*", name)
            names.add(re.sub(r"Cs[0-9A-Za-z]{8,12}_", "Cs*_", name))
    return sorted(names)


def main():
    binary = str(pathlib.Path(sys.argv[1]).resolve())
    with tempfile.NamedTemporaryFile() as out:
        session(binary, out.name)
        names = executed(out.name)
    text = SCRIPT.read_text()
    begin, end = "    /* what a server runs: benches/order.py */\n", "  }\n}\nINSERT BEFORE .text;\n"
    head, rest = text.split(begin)
    tail = rest.split(end, 1)[1]
    listed = "".join(f"    *(.text.{name})\n" for name in names)
    SCRIPT.write_text(head + begin + listed + end + tail)
    print(f"{len(names)} names")


if __name__ == "__main__":
    main()
