"""Reading drawn pictures back: the checks that every one of them must pass."""

from lxml import etree

SVG = "{http://www.w3.org/2000/svg}"
FORBIDDEN_ELEMENTS = {"script", "style", "foreignObject", "image", "use", "a"}


def read(svg: str) -> etree._Element:
    """Parse a picture as XML; a sign that was not escaped fails here."""
    return etree.fromstring(svg.encode())


def assert_stands_alone_and_is_named(svg: str) -> etree._Element:
    """Check what the content policy (W3C CSP 3, style-src) and SVG-AAM 1.0 ask of a picture."""
    root = read(svg)
    ids = [node.get("id") for node in root.iter() if node.get("id")]
    assert len(ids) == len(set(ids))
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    for reference, tag in (("aria-labelledby", "title"), ("aria-describedby", "desc")):
        named = [node for node in root.iter() if node.get("id") == root.get(reference)]
        assert len(named) == 1
        assert named[0].tag == f"{SVG}{tag}"
        assert named[0].text
    for node in root.iter():
        assert etree.QName(node).localname not in FORBIDDEN_ELEMENTS
        assert node.get("style") is None
        for name, value in node.attrib.items():
            assert not name.startswith("on")
            assert "nan" not in value.split()
            assert "url(" not in value or "url(#" in value
    return root


def said(svg: str) -> list[str]:
    """Return the lines of text that a picture shows, in order."""
    return ["".join(node.itertext()) for node in read(svg).iter(f"{SVG}text")]


def title(svg: str) -> str:
    """Return a picture's title."""
    return next(read(svg).iter(f"{SVG}title")).text or ""


def description(svg: str) -> str:
    """Return a picture's description."""
    return next(read(svg).iter(f"{SVG}desc")).text or ""
