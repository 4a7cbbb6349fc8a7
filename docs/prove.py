#!/usr/bin/env python3
"""Check a proof that one entry stands in a book: prove.py FILE [HEAD]

FILE is what "endfloat prove" writes: the entry on its first line and after it
a proof as C2SP tlog-proof has it, all of it through gzip if it is long. HEAD is the head printed in the book. Needs
nothing but Python 3; the tree is that of RFC 6962, 2.1.1 (verified as in RFC
9162, 2.1.3.2).
"""
import base64
import gzip
import hashlib
import json
import sys
import zlib


def fail(says):
    sys.exit("NOT PROVED: " + says)


def node(left, right):
    return hashlib.sha256(b"\x01" + left + right).digest()


def root_of(leaf, index, size, path):
    """The head that a leaf and its path lead to."""
    if index >= size:
        fail("the entry is not among those of the book")
    at, last = index, size - 1
    for sibling in path:
        if last == 0:
            fail("the path is too long")
        if at % 2 == 1 or at == last:
            leaf = node(sibling, leaf)
            while at % 2 == 0 and at != 0:
                at, last = at >> 1, last >> 1
        else:
            leaf = node(leaf, sibling)
        at, last = at >> 1, last >> 1
    if last != 0:
        fail("the path is too short")
    return leaf


def main():
    if len(sys.argv) not in (2, 3):
        sys.exit(__doc__)
    with open(sys.argv[1], "rb") as f:
        raw = f.read()
    try:
        text = gzip.decompress(raw) if raw[:2] == b"\x1f\x8b" else raw
    except (OSError, EOFError, zlib.error) as e:
        fail(str(e))
    top, _, checkpoint = text.partition(b"\n\n")
    lines, head = top.split(b"\n"), checkpoint.split(b"\n")
    if len(lines) < 3 or lines[1] != b"c2sp.org/tlog-proof@v1" or len(head) < 3:
        fail("this is no proof")
    try:
        index = int(lines[2].removeprefix(b"index "))
        path = [base64.b64decode(x, validate=True) for x in lines[3:]]
        size, root = int(head[1]), base64.b64decode(head[2], validate=True)
    except ValueError as e:
        fail(str(e))
    leaf = hashlib.sha256(b"\x00" + lines[0]).digest()
    if root_of(leaf, index, size, path) != root:
        fail("the entry is not that of the book, or the book is another")
    if len(sys.argv) == 3 and sys.argv[2].encode() != head[2]:
        fail("the head is not the one that you gave")
    entry = json.loads(lines[0])
    print(f"PROVED: entry {index + 1} of {size} in {head[0].decode()}")
    print(f"head {head[2].decode()}" + ("" if len(sys.argv) == 3 else ": compare it with the one printed in the book"))
    print(entry["at"], entry["kind"], json.dumps(entry["body"], ensure_ascii=False))


main()
