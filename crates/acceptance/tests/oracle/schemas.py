"""Validates examples with `jsonschema`: `good-` and `wrong-` must pass, `bad-` must not.

Reads one JSON object with a schema and named examples from standard input.
"""

import json
import sys

from jsonschema import Draft202012Validator

case = json.load(sys.stdin)
Draft202012Validator.check_schema(case["schema"])
validator = Draft202012Validator(case["schema"])
refused, slips = 0, []
for example in case["examples"]:
    valid = validator.is_valid(example["value"])
    refused += not valid
    if valid == example["name"].startswith("bad-"):
        slips.append(example["name"])
print(f"{refused} refused of {len(case['examples'])}")
for slip in slips:
    print("not as its name says:", slip)
sys.exit(1 if slips or refused < 5 else 0)
