"""What independent parsers say of a journal's feed, map, data and text tracks.

Usage: check.py JOURNAL ADDRESS, for a journal whose record names this site-address.
"""

import re
import sys
from pathlib import Path
from urllib.parse import unquote

import extruct
import feedparser
import webvtt
from lxml import etree, html

ATOM = "{http://www.w3.org/2005/Atom}"
MAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"
# RFC 4151, 2.1, as far as domains go.
TAG = re.compile(r"tag:[a-z0-9.-]+,\d{4}(-\d{2}(-\d{2})?)?:[A-Za-z0-9._~!$&'()*+,;=:@/?%-]+")
# RFC 3339, 5.6, as RFC 4287, 3.3 narrows it: capital T, and an offset.
MOMENT = re.compile(r"\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}(\.\d+)?(Z|[+-]\d{2}:\d{2})")
passed = 0
failed = []


def check(holds, what):
    global passed
    if holds:
        passed += 1
    else:
        failed.append(what)


def file_of(journal, site, address):
    """The file that an address of the site names."""
    path = unquote(address.removeprefix(site).split("#")[0])
    return journal / (path or "index.html")


def feed(journal, site):
    path = journal / "feed.xml"
    tree = etree.parse(str(path))
    root = tree.getroot()
    # The Schematron rules of atom.rnc, which RELAX NG passes over: an author on the feed or on every entry; an alternate link or a content.
    entries = root.findall(f"{ATOM}entry")
    has_author = root.find(f"{ATOM}author") is not None
    check(has_author or all(entry.find(f"{ATOM}author") is not None for entry in entries), "feed: an author")
    for entry in entries:
        links = [link.get("rel", "alternate") for link in entry.findall(f"{ATOM}link")]
        check("alternate" in links or entry.find(f"{ATOM}content") is not None, "entry: a link or a content")
    ids = [found.text for found in root.iter(f"{ATOM}id")]
    check(len(set(ids)) == len(ids), "feed: every id once (RFC 4287, 4.2.6)")
    for found in ids:
        check(TAG.fullmatch(found) or found.startswith(site), f"feed: {found} is a tag or an address")
    for element in ["updated", "published"]:
        for found in root.iter(f"{ATOM}{element}"):
            check(MOMENT.fullmatch(found.text), f"feed: {found.text} is a moment of RFC 3339")
    parsed = feedparser.parse(path.read_bytes())
    check(not parsed.bozo, f"feed.xml by feedparser: {parsed.get('bozo_exception')}")
    check(parsed.version == "atom10", f"feed.xml is {parsed.version}")
    check(len(parsed.entries) == len(entries) > 0, "feed: as many entries by either parser")
    check(parsed.feed.author_detail.name != "", "feed: a name")
    newest = max(entry.updated_parsed for entry in parsed.entries if entry.updated_parsed)
    check(parsed.feed.updated_parsed == newest, "feed: as new as its newest entry")
    for entry in parsed.entries:
        check(entry.get("title") and entry.content[0].value, f"{entry.id}: a title and a content")
        check(file_of(journal, site, entry.link).is_file(), f"{entry.link} is a page")
        body = html.fromstring(f"<div>{entry.content[0].value}</div>")
        for _, attribute, link, _ in body.iterlinks():
            check(link.startswith(("https://", "http://", "mailto:")), f"{entry.id}: {attribute} {link} is whole")
            if link.startswith(site):
                check(file_of(journal, site, link).is_file(), f"{entry.id}: {link} is a file")


def site_map(journal, site):
    listed = set()
    for path in sorted(journal.glob("sitemap*.xml")):
        root = etree.parse(str(path)).getroot()
        check(root.tag in (f"{MAP}urlset", f"{MAP}sitemapindex"), f"{path.name}: {root.tag}")
        check(len(root) <= 50_000 and path.stat().st_size <= 50 * 2**20, f"{path.name} is within the protocol's limits")
        for entry in root:
            names = [child.tag.removeprefix(MAP) for child in entry]
            check(names == ["loc", "lastmod"], f"{path.name}: {names}")
            address = entry[0].text
            check(address.startswith(site) and len(address) < 2048, f"{path.name}: {address}")
            check(re.fullmatch(r"\d{4}-\d{2}-\d{2}", entry[1].text), f"{path.name}: {entry[1].text}")
            if root.tag == f"{MAP}urlset":
                listed.add(file_of(journal, site, address))
    pages = {path for path in journal.rglob("*.html") if path.parent != journal / "card"}
    check(listed == pages, f"the map lists what there is, but for {sorted(map(str, listed ^ pages))[:5]}")


def nodes(value):
    if isinstance(value, dict):
        if "@type" in value:
            yield value
        for inner in value.values():
            yield from nodes(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from nodes(inner)


def page_data(journal, site):
    pages = sorted(path for path in journal.rglob("*.html") if path.parent != journal / "card")
    types = set()
    for path in pages:
        name = path.relative_to(journal).as_posix()
        found = extruct.extract(path.read_text(), base_url=site, syntaxes=["json-ld", "opengraph"])
        check(len(found["json-ld"]) == 1, f"{name}: one piece of data")
        for value in found["json-ld"]:
            check(value["@context"] == "https://schema.org", f"{name}: {value['@context']}")
            for node in nodes(value):
                types.add(node["@type"])
        graph = dict(found["opengraph"][0]["properties"])
        for asked in ["og:title", "og:type", "og:url", "og:image"]:
            check(graph.get(asked), f"{name}: {asked}")
        check(file_of(journal, site, graph["og:url"]) == path, f"{name}: og:url {graph['og:url']}")
        check(file_of(journal, site, graph["og:image"]).is_file(), f"{name}: og:image {graph['og:image']}")
        tree = html.fromstring(path.read_bytes())
        canonical = tree.xpath("/html/head/link[@rel='canonical']/@href")
        check(canonical == [graph["og:url"]], f"{name}: canonical {canonical}")
        feeds = tree.xpath("/html/head/link[@rel='alternate'][@type='application/atom+xml']/@href")
        check(len(feeds) == 1 and (path.parent / feeds[0]).resolve() == (journal / "feed.xml").resolve(), f"{name}: {feeds}")
    check({"WebSite", "Dataset", "VideoObject", "Article", "ImageObject", "BreadcrumbList"} <= types, f"data: {types}")


def tracks(journal):
    found = sorted((journal / "video").glob("*.vtt"))
    check(found, "a text track")
    for path in found:
        captions = webvtt.read(str(path)).captions
        raw = path.read_text()
        check(raw.startswith("WEBVTT\n"), f"{path.name}: its first line")
        check(raw.count("-->") == len(captions) > 0, f"{path.name}: {len(captions)} cues")
        moments = [(cue.start_in_seconds, cue.end_in_seconds) for cue in captions]
        check(all(start < end for start, end in moments), f"{path.name}: no cue ends before it begins")
        check(all(a[1] == b[0] for a, b in zip(moments, moments[1:])), f"{path.name}: each ends where the next begins")
        check(all(len(cue.lines) == 1 for cue in captions), f"{path.name}: a title is a line")
        described = path.with_suffix(".txt").read_text()
        check(len(described) <= 5001, f"{path.stem}.txt: {len(described)} characters")
        stamps = re.findall(r"^((?:\d+:)?\d+:\d\d) (.+)$", described, re.MULTILINE)
        seconds = [sum(int(part) * 60**place for place, part in enumerate(reversed(stamp.split(":")))) for stamp, _ in stamps]
        check(seconds[:1] == [0], f"{path.stem}.txt: begins at 0:00")
        check(seconds == [int(start) for start, _ in moments], f"{path.stem}.txt: {seconds} beside the track's {moments}")


def main():
    journal, site = Path(sys.argv[1]), sys.argv[2]
    feed(journal, site)
    site_map(journal, site)
    page_data(journal, site)
    tracks(journal)
    for what in failed:
        print(f"FAILED {what}")
    print(f"{passed} passed, {len(failed)} failed")
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
