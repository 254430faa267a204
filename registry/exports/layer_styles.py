"""Styles for the layers of a GeoPackage, in the table where desktop GIS looks for them.

The table ``layer_styles`` and its columns are those that QGIS writes (QGIS documentation, "Saving
and sharing layer properties"; columns from memory). The style itself is an SLD by OGC 02-070
(Styled Layer Descriptor 1.0.0), beside the same marks as a QML.
"""

from collections.abc import Sequence
from typing import Any
from xml.sax.saxutils import escape

from registry.report.ink import INK, PAPER, RUST, WATER

MARK_PX = 9
OVERDUE = {"yes": (RUST, "overdue"), "no": (WATER, "not overdue")}


def style_row(layer: str, columns: Sequence[str]) -> dict[str, Any]:
    """Return the style of a layer of points as a row of ``layer_styles``.

    Systems that are overdue are filled squares, others circles: no meaning by colour alone.
    """
    marks = (
        [(value, *told) for value, told in OVERDUE.items()]
        if "overdue" in columns
        else [("", INK, layer)]
    )
    return {
        "f_table_catalog": "",
        "f_table_schema": "",
        "f_table_name": layer,
        "f_geometry_column": "geom",
        "styleName": layer,
        "styleQML": _qml(marks),
        "styleSLD": _sld(layer, marks),
        "useAsDefault": True,
        "description": "",
        "owner": "",
    }


def _shape(value: str) -> str:
    return "square" if value == "yes" else "circle"


def _sld(layer: str, marks: list[tuple[str, str, str]]) -> str:
    rules = "".join(
        f"<Rule><Title>{escape(label)}</Title>"
        + (
            "<ogc:Filter><ogc:PropertyIsEqualTo><ogc:PropertyName>overdue</ogc:PropertyName>"
            f"<ogc:Literal>{value}</ogc:Literal></ogc:PropertyIsEqualTo></ogc:Filter>"
            if value
            else ""
        )
        + f"<PointSymbolizer><Graphic><Mark><WellKnownName>{_shape(value)}</WellKnownName>"
        f'<Fill><CssParameter name="fill">{colour}</CssParameter></Fill>'
        f'<Stroke><CssParameter name="stroke">{PAPER}</CssParameter></Stroke></Mark>'
        f"<Size>{MARK_PX}</Size></Graphic></PointSymbolizer></Rule>"
        for value, colour, label in marks
    )
    return (
        '<?xml version="1.0" encoding="UTF-8"?><StyledLayerDescriptor version="1.0.0" '
        'xmlns="http://www.opengis.net/sld" xmlns:ogc="http://www.opengis.net/ogc">'
        f"<NamedLayer><Name>{escape(layer)}</Name><UserStyle><FeatureTypeStyle>{rules}"
        "</FeatureTypeStyle></UserStyle></NamedLayer></StyledLayerDescriptor>"
    )


def _qml(marks: list[tuple[str, str, str]]) -> str:
    symbols = "".join(
        f'<symbol type="marker" name="{number}" alpha="1"><layer class="SimpleMarker" enabled="1">'
        f'<prop k="name" v="{_shape(value)}"/><prop k="color" v="{colour}"/>'
        f'<prop k="outline_color" v="{PAPER}"/><prop k="size" v="2.4"/></layer></symbol>'
        for number, (value, colour, _) in enumerate(marks)
    )
    categories = "".join(
        f'<category symbol="{number}" value="{value}" label="{escape(label)}" render="true"/>'
        for number, (value, _, label) in enumerate(marks)
        if value
    )
    kind = (
        f'type="categorizedSymbol" attr="overdue"><categories>{categories}</categories>'
        if categories
        else 'type="singleSymbol">'
    )
    return (
        '<qgis version="3.22" styleCategories="Symbology">'
        f"<renderer-v2 {kind}<symbols>{symbols}</symbols></renderer-v2></qgis>"
    )
