"""`python -m tests.house`: the shape of the house in figures, and what breaks a rule."""

from __future__ import annotations

import sys

from tests.house.shape import files, functions, rules


def main() -> int:
    """Print every rule with its figure; 1 when one is broken."""
    texts = files()
    print(
        f"{len(texts)} files, {sum(t.count(chr(10)) for t in texts.values())} lines, "
        f"{len(list(functions(texts)))} functions"
    )
    checked = rules()
    for rule in checked:
        print(f"{rule.name:42} {rule.measured:>10}   at most {rule.allowed}")
        for line in rule.broken:
            print(f"    {line}")
    return int(any(rule.broken for rule in checked))


if __name__ == "__main__":
    sys.exit(main())
