"""Validates manifests against the schemas of SCORM 1.2 and reads the class's table with Python's csv."""
import csv
import json
import pathlib
import sys

from lxml import etree

folder, schemas = map(pathlib.Path, sys.argv[1:])
IMS = "{http://www.imsproject.org/xsd/imscp_rootv1p1p2}"
ADL = "{http://www.adlnet.org/xsd/adlcp_rootv1p2}"

# One schema of both: the manifest's own, and ADL's additions to it.
both = folder / "both.xsd"
both.write_text(
    """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema">
<xs:import namespace="http://www.imsproject.org/xsd/imscp_rootv1p1p2" schemaLocation="%s"/>
<xs:import namespace="http://www.adlnet.org/xsd/adlcp_rootv1p2" schemaLocation="%s"/></xs:schema>"""
    % ((schemas / "imscp_rootv1p1p2.xsd").as_uri(), (schemas / "adlcp_rootv1p2.xsd").as_uri())
)
xsd = etree.XMLSchema(etree.parse(str(both)))

for path in (folder / "work.xml", folder / "course.xml"):
    tree = etree.parse(str(path))
    xsd.assertValid(tree)
    held = json.loads(path.with_suffix(".json").read_text())
    assert [f.get("href") for f in tree.iter(f"{IMS}file")] == held["files"], path
    titles = {t.text for t in tree.iter(f"{IMS}title")}
    assert titles == {held["title"].replace("\x01", "")}, titles
    resource = tree.find(f".//{IMS}resource")
    assert (resource.get(f"{ADL}scormtype"), resource.get("href")) == ("sco", "index.html")
    # The schema does not let everything through.
    del resource.attrib["type"]
    assert not xsd.validate(tree), "the schema lets anything through"

students = json.loads((folder / "class.json").read_text())
with open(folder / "class.csv", newline="", encoding="utf-8") as file:
    head, *rows = list(csv.reader(file, strict=True))
assert head == ["name", "work", "score", "exercise 1", "exercise 2", "exercise 3", "remarks", "file"], head
assert len(rows) == len(students)
COMPUTES = tuple("=+-@\t\r\n")
for row in rows:
    assert len(row) == len(head), row
    assert not any(cell.startswith(COMPUTES) for cell in row), row
    assert row[3] == "100" and row[5] == "" and row[7] == "'-answers.txt", row
written = {(row[0], int(row[2])) for row in rows}
for student in students:
    name = student["name"]
    expected = f"'{name}" if name.startswith(COMPUTES) else name
    assert (expected, student["score"]) in written, (expected, written)
print(f"teaching: 2 manifests valid, {len(rows)} rows of the table read")
