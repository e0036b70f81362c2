#!/usr/bin/env python3
"""A list of what the program is built from (CycloneDX 1.5, JSON) from `cargo metadata` on stdin. Arguments: version, date in seconds."""

import json
import sys
from datetime import datetime, timezone

version, epoch = sys.argv[1], int(sys.argv[2])
metadata = json.load(sys.stdin)
packages = {p["id"]: p for p in metadata["packages"]}
nodes = {n["id"]: n for n in metadata["resolve"]["nodes"]}
root = next(p["id"] for p in metadata["packages"] if p["name"] == "phasewright")

# What is linked in: neither tests nor what builds it.
linked, ahead = set(), [root]
while ahead:
    at = ahead.pop()
    if at in linked:
        continue
    linked.add(at)
    for dep in nodes[at]["deps"]:
        if any(kind["kind"] is None for kind in dep["dep_kinds"]):
            ahead.append(dep["pkg"])


def reference(package):
    return f"pkg:cargo/{package['name']}@{package['version']}"


def component(package):
    out = {"type": "library", "bom-ref": reference(package), "name": package["name"], "version": package["version"], "purl": reference(package)}
    if package.get("license"):
        out["licenses"] = [{"expression": package["license"].replace("/", " OR ")}]
    return out


others = sorted((packages[i] for i in linked - {root}), key=reference)
answer = {
    "bomFormat": "CycloneDX",
    "specVersion": "1.5",
    "version": 1,
    "metadata": {
        "timestamp": datetime.fromtimestamp(epoch, timezone.utc).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "component": {"type": "application", "bom-ref": f"pkg:cargo/phasewright@{version}", "name": "phasewright", "version": version},
    },
    "components": [component(p) for p in others],
    "dependencies": [
        {
            "ref": reference(packages[i]),
            "dependsOn": sorted({reference(packages[d["pkg"]]) for d in nodes[i]["deps"] if d["pkg"] in linked}),
        }
        for i in sorted(linked, key=lambda i: reference(packages[i]))
    ],
}
json.dump(answer, sys.stdout, indent=1)
print()
