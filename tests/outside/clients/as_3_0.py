"""Writes an OpenAPI 3.1 document as 3.0.3, for generators that read no other.
    as_3_0.py <document> <older document>
What 3.0.3 cannot say is said otherwise where it can be, and left out where it cannot."""
import json
import sys

# a map of names stands under these: a field may be called like a keyword
NAMED = {"properties", "schemas", "patternProperties", "parameters", "responses", "headers", "paths", "content", "examples"}
NEWER = {"$schema", "$id", "$anchor", "$comment", "unevaluatedProperties", "unevaluatedItems", "prefixItems", "contains",
         "contentEncoding", "contentMediaType", "propertyNames", "dependentRequired", "if", "then", "else", "links"}


def older(node, named=False):
    """The node, its parts first; with `named` its keys are names and no keywords."""
    if isinstance(node, list):
        return [older(part) for part in node]
    if not isinstance(node, dict):
        return node
    if named:
        return {name: older(part) for name, part in node.items()}
    keep = {key: value if key in ("example", "default", "enum", "const") else older(value, key in NAMED and isinstance(value, dict))
            for key, value in node.items() if key not in NEWER}
    return schema(keep)


def schema(node):
    if "$ref" in node and len(node) > 1:  # in 3.0 nothing stands beside a reference
        node = {"allOf": [{"$ref": node.pop("$ref")}], **node}
    if "const" in node:
        node["enum"] = [node.pop("const")]
    if isinstance(node.get("examples"), list):
        first = node.pop("examples")[:1]
        node.update({"example": one for one in first if "example" not in node})
    if "type" not in node and "enum" in node and all(isinstance(value, str) for value in node["enum"]):
        node["type"] = "string"
    kinds = node.get("type")
    if isinstance(kinds, list):
        some = [kind for kind in kinds if kind != "null"]
        if len(some) < len(kinds):
            node["nullable"] = True
        if len(some) == 1:
            node["type"] = some[0]
        else:
            del node["type"]
            node["anyOf"] = [{"type": kind} for kind in some]
    for key in ("oneOf", "anyOf"):
        choices = node.get(key)
        if isinstance(choices, list) and {"type": "null"} in choices:
            node["nullable"] = True
            some = [choice for choice in choices if choice != {"type": "null"}]
            del node[key]
            node["allOf" if len(some) == 1 else key] = some
    for bound, exclusive in (("minimum", "exclusiveMinimum"), ("maximum", "exclusiveMaximum")):
        if isinstance(node.get(exclusive), (int, float)) and not isinstance(node[exclusive], bool):
            node[bound], node[exclusive] = node[exclusive], True
    return node


def answers(node):
    """Every answer with a body: what is JSON by its suffix is called so, since progenitor takes anything else for bytes."""
    for answer in node["components"].get("responses", {}).values():
        yield from [answer] if "content" in answer else []
    for item in node["paths"].values():
        for method, operation in item.items():
            if method in ("get", "put", "post", "patch", "delete"):
                yield from [answer for answer in operation["responses"].values() if "content" in answer]


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        document = json.load(file)
    webhooks = document.pop("webhooks", None)
    document.pop("jsonSchemaDialect", None)
    document = older(document)
    for answer in answers(document):
        answer["content"] = {"application/json" if kind.endswith("+json") else kind: body for kind, body in answer["content"].items()}
    document["openapi"] = "3.0.3"
    if webhooks:
        print("warning: webhooks are left out")
    with open(sys.argv[2], "w", encoding="utf-8") as file:
        json.dump(document, file, indent=1)


main()
