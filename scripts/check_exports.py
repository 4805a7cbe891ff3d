"""Judges a folder of exports with tools that know nothing of Spoolbench.

    check_exports.py FOLDER SCHEMAS JUNIT-SCHEMAS

Each judge is also shown something broken, which it must reject.
"""

import csv
import json
import re
import sys
from pathlib import Path

import html5lib
import jsonschema
import xmlschema
from frictionless import Resource, Schema


def must(holds, what):
    if not holds:
        sys.exit(f"{what}: does not hold")
    print(f"  {what}")


def junit(text, schemas):
    for name in ["JUnit.xsd", "jenkins-junit.xsd"]:
        schema = xmlschema.XMLSchema(str(schemas / name))
        problems = [str(e) for e in schema.iter_errors(text)]
        must(not problems, f"JUnit XML valid under {name}" + "".join(problems))
        must(not schema.is_valid(text.replace("<testcase name=", "<testcase nome=", 1)),
             f"{name} rejects a case without a name")


def book(path, schemas):
    raw = path.read_bytes()
    must(raw.count(b"\r\n") == raw.count(b"\n"), "CSV lines end in CR LF")
    rows = list(csv.reader(raw.decode("utf-8").splitlines(), strict=True))
    must(len(rows) == 3 and all(len(r) == len(rows[0]) for r in rows), "CSV rows are of one length")
    must(not any(c[:1] in "=+-@\t\r" for r in rows for c in r if c), "no CSV cell is a formula")
    schema = Schema.from_descriptor(json.loads((schemas / "gradebook.schema.json").read_text()))
    report = Resource(path=path.name, basepath=str(path.parent), schema=schema).validate()
    must(report.valid, f"CSV follows its table schema {report.flatten(['message'])[:3]}")
    broken = path.with_name("broken.csv")
    broken.write_bytes(raw.replace(b",pass,", b",perhaps,").replace(b",fail,", b",perhaps,"))
    report = Resource(path=broken.name, basepath=str(path.parent), schema=schema).validate()
    must(not report.valid, "the table schema rejects an unknown verdict of the gate")


def document(path, schema_path, broken):
    value = json.loads(path.read_text())
    schema = json.loads(schema_path.read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    judge = jsonschema.Draft202012Validator(schema)
    problems = [f"{e.json_path}: {e.message}" for e in judge.iter_errors(value)]
    must(not problems, f"{path.name} follows {schema_path.name} {problems[:3]}")
    broken(value)
    must(not judge.is_valid(value), f"{schema_path.name} rejects what is broken")


def pages(folder):
    for path in sorted(folder.glob("*.html")):
        text = path.read_text(encoding="utf-8")
        # Strict: any slip against the HTML standard is an exception.
        html5lib.HTMLParser(strict=True).parse(text)
        outside = re.findall(r"<script|<link|<iframe|src=|url\(|@import", text)
        must(not outside and len(re.findall(r"<h1", text)) == 1, f"{path.name} is sound HTML, alone")
    try:
        html5lib.HTMLParser(strict=True).parse("<!DOCTYPE html><title>t</title><p></div>")
    except html5lib.html5parser.ParseError:
        return
    sys.exit("the HTML parser takes anything")


def main():
    folder, schemas, xsds = (Path(p) for p in sys.argv[1:])
    print(f"{folder}:")
    junit((folder / "junit.xml").read_text(encoding="utf-8"), xsds)
    book(folder / "grades.csv", schemas)
    document(folder / "xapi.json", schemas / "xapi.schema.json",
             lambda v: v[0]["result"]["score"].update(scaled=82))
    document(folder / "grades.json", schemas / "grade.schema.json",
             lambda v: v[0]["grade"].update(verdict="perhaps"))
    pages(folder / "pages")


main()
