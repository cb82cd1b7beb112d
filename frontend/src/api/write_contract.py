"""Write the contract of the server as a file, from which the app's types are made: `npm run make:api`."""

from __future__ import annotations

import json
import sys
from pathlib import Path

FILE = Path(__file__).with_name("openapi.json")
NAME_FILE = FILE.with_name("contract.ts")


def contract_text() -> str:
    """The contract as it is kept in the repository: one key a line, sorted."""
    from ringwise.faces.web.app import contract_document

    return json.dumps(contract_document(), indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def name_text() -> str:
    """The name of the contract as a source file of the app."""
    from ringwise.faces.web.app import contract_document
    from ringwise.faces.web.contract import contract_of

    return (
        "/** The contract that this app is built for; written by write_contract.py. */\n"
        f"export const CONTRACT = '{contract_of(contract_document())}';\n"
    )


if __name__ == "__main__":
    FILE.write_text(contract_text(), encoding="utf-8")
    NAME_FILE.write_text(name_text(), encoding="utf-8")
    sys.stdout.write(f"{FILE.name} written; now: npm run make:api\n")
