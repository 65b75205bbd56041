"""Validates our MusicXML files against the schema and reads them with music21 and verovio."""
import csv
import pathlib
import re
import sys
from importlib.metadata import files

import music21
import verovio
from lxml import etree

# The schema imports two others over the network; these stand for what it uses of them.
XML = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/XML/1998/namespace">
<xs:attribute name="lang" type="xs:language"/><xs:attribute name="space" type="xs:NCName"/></xs:schema>"""
XLINK = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema" targetNamespace="http://www.w3.org/1999/xlink">
%s</xs:schema>""" % "".join(f'<xs:attribute name="{n}" type="xs:string"/>' for n in ("href", "type", "role", "title", "show", "actuate"))


def schema(folder):
    source = next(f for f in files("musicxml") if f.name == "musicxml_4_0.xsd").locate().read_text()
    for name, text in (("xml.xsd", XML), ("xlink.xsd", XLINK)):
        (folder / name).write_text(text)
        source = source.replace(f"http://www.musicxml.org/xsd/{name}", name)
    path = folder / "musicxml.xsd"
    path.write_text(source)
    return etree.XMLSchema(etree.parse(str(path)))


def picks(folder, name):
    with open(folder / f"{name}.notes.tsv", newline="") as file:
        return list(csv.DictReader(file, delimiter="\t"))


verovio.enableLog(verovio.LOG_OFF)
folder = pathlib.Path(sys.argv[1])
xsd = schema(folder)
broken = etree.fromstring(b"<score-partwise version='4.0'><part-list/></score-partwise>")
assert not xsd.validate(broken), "the schema lets anything through"

scores = sorted(folder.glob("*.musicxml"))
assert len(scores) >= 6
for path in scores:
    tree = etree.parse(str(path))
    xsd.assertValid(tree)
    name, names = path.stem.rsplit("-", 1)

    # What the schema cannot know: strings and frets are the performance's.
    # A tied piece repeats the note it goes on from.
    ours = [n for n in tree.iter("note") if n.findtext("staff") == "2" and n.find("rest") is None]
    ours = [n for n in ours if not any(t.get("type") == "stop" for t in n.iter("tied"))]
    picked = [n for n in ours if not any(s.get("type") == "stop" for s in n.iter("slide"))]
    expected = picks(folder, name)
    found = sorted((int(n.findtext(".//string")), int(n.findtext(".//fret"))) for n in picked)
    wanted = sorted((int(r["string"]), int(float(r["fret"]) + 0.5)) for r in expected)
    assert found == wanted, (path.name, [x for x in found if x not in wanted], [x for x in wanted if x not in found])

    toolkit = verovio.toolkit()
    toolkit.setOptions({"pageHeight": 60000, "adjustPageHeight": True})
    assert toolkit.loadData(path.read_text())
    svg = toolkit.renderToSVG(1)
    assert toolkit.getPageCount() >= 1
    drawn = len(re.findall(r'class="note"', svg)) + len(re.findall(r'class="tabGrp"', svg))
    assert drawn > 0

    words = ""
    if names == "letters":
        score = music21.converter.parse(str(path))
        tab = score.parts[1]
        lines = tab.recurse().getElementsByClass(music21.layout.StaffLayout)
        assert any(layout.staffLines == 10 for layout in lines), "music21 sees no ten-line staff"
        chords = [c.figure for c in score.recurse().getElementsByClass(music21.harmony.ChordSymbol)]
        assert chords, "music21 sees no chords"
        strings = [a for n in tab.recurse().notes for a in n.articulations if isinstance(a, music21.articulations.StringIndication)]
        assert strings, "music21 sees no strings"
        length = sum(float(m.quarterLength) for m in score.parts[0].getElementsByClass(music21.stream.Measure))
        words = f", music21: {len(chords)} chords, {len(strings)} strings, {length:g} quarters"
        music21.musicxml.m21ToXml.GeneralObjectExporter(score).parse()
    print(f"{path.name}: valid, {len(picked)} picks as played, verovio draws {drawn} signs{words}")
