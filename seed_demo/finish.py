"""A surface finished on site: zones, films, colour, the client's answer, the kit that stays. Values are invented."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from seed_demo import work
from siteapp.finishing import products, zone_map
from siteapp.finishing import services as finishing
from siteapp.finishing.colour import services as colour
from siteapp.finishing.kit import services as kit
from siteapp.marks.services import Mark
from siteapp.web.dates import now

if TYPE_CHECKING:
    from seed_demo.filling import Filling

GLAZE: dict[str, Any] = dict.fromkeys(products.ProductFacts.__annotations__) | {
    "name": "Tidal warm-wall glaze (invented)", "maker": "Tideway Colours (invented)",
    "what": "Water-borne acrylic glaze for warm walls", "sheet": "data sheet of the invented glaze, May 2026",
    "hazards": "May cause an allergic skin reaction (as on the tin).",
    "protection": "Gloves; mask P2 when it is sanded.",
    "ventilation": "Windows open while it dries.", "room_again_hours": 6.0, "air_min_c": 8.0, "air_max_c": 30.0,
    "surface_min_c": 8.0, "surface_max_c": 30.0, "humidity_min": 0.0, "humidity_max": 75.0, "margin_limit_c": 3.0,
    "film_min_c": 7.0, "touch_up": "Dabbed undiluted with a fine sponge, edges feathered.",
    "keeps_until": "A year once opened.", "dropped": False, "volume_solids_percent": 38.0, "density_g_ml": 1.24,
    "target_um": 35.0, "target_most_um": 60.0, "thinner": "Water", "thinned_most_percent": 10.0, "shelf_months": 24,
    "opened_months": 12, "barcode": "06291041500213",
}  # fmt: skip
TIMES: list[Any] = [
    {"what": what, "surface_c": at, "hours": hours}
    for what, rows in {
        "recoat": ((8.0, 6.0), (15.0, 3.0), (23.0, 1.5)),
        "recoat at latest": ((8.0, 96.0), (23.0, 48.0)),
        "handling": ((8.0, 24.0), (23.0, 8.0)),
    }.items()
    for at, hours in rows
]
TIN: dict[str, Any] = {
    "number": "WG-2204",
    "expires_on": None,
    "opened_on": None,
    "note": None,
    "made_on": "2026-04-14",
}
ZONES: list[Any] = [
    {"name": "grebes", "area_m2": 0.42, "coats": 2, "target_um": 70.0, "target_most_um": 120.0, "note": None},
    {"name": "water", "area_m2": 0.61, "coats": 2, "target_um": 70.0, "target_most_um": 120.0, "note": "ribbed"},
]
CLIMATES = ((19.2, 54.0, 17.7), (19.4, 54.0, 17.9), (19.6, 54.0, 18.1))
GAUGES = {"grebes": (105.0, 110.0, 100.0), "water": (115.0, 108.0, 112.0)}
EYES: dict[str, Any] = {
    "instrument": "sphere spectrophotometer 2 (invented)", "illuminant": "D65", "observer": "10°", "geometry": "d/8",
    "gloss_instrument": "gloss meter 1 (invented)", "gloss_deg": 60,
}  # fmt: skip
SAMPLE: dict[str, Any] = {
    "name": "Warm slate", "made_of": "Two coats of the glaze over the primed shell, sponge-dabbed, on a board of it",
    "zones": None, "l": 71.4, "a": 0.8, "b": 6.2, "gloss": 9.5, "tolerance": 1.5, "gloss_tolerance": 3.0,
    "tolerance_from": "Imke Penhallow (invented), on the sample's back", "note": None, "dropped": False,
}  # fmt: skip
READINGS = {
    "grebes": ((71.0, 0.9, 6.5, 9.1), (71.9, 0.7, 6.4, 9.9), (71.6, 0.8, 6.0, 9.4)),
    "water": ((70.6, 0.9, 6.6, 10.4), (70.9, 0.9, 6.5, 10.1), (71.1, 1.0, 6.3, 10.6)),
}


def glaze(go: Filling) -> tuple[str, str]:
    """The glaze with its tables, and one tin of it."""
    product = go.write("product: glaze", products.make_product, facts=GLAZE, times=TIMES)
    opened = TIN | {"opened_on": now().date().isoformat()}
    tin = {"product_id": product, "facts": opened, "photos": go.photos(("tin", "tin"))}
    return product, go.write("batch WG-2204", products.add_batch, **tin)


def finished(go: Filling, key: str, tin: tuple[str, str]) -> None:
    """From the zones to the kit."""
    seen = go.photos(("grebes on site", zone_map.ZONES))
    spots = [Mark(seen[0].sha256, 0.34, 0.46, note="grebes"), Mark(seen[0].sha256, 0.72, 0.78, note="water")]
    go.of_piece(key, "zones", zone_map.record, zones=ZONES, photos=seen, marks=spots)
    session_id = go.of_piece(
        key, "session", finishing.start_session, zone="grebes", purpose="two coats of the warm-wall glaze",
        ventilation=work.VENTILATION, photos=go.photos(("grebes on site", "before")),
    )  # fmt: skip
    for at, (air, humidity, surface) in enumerate(CLIMATES):
        facts = work.CLIMATE | {name: GLAZE[name] for name in work.LIMITS} | {
            "air_c": air, "relative_humidity": humidity, "surface_c": surface, "product": GLAZE["name"],
            "limits_source": GLAZE["sheet"], "film_min_c": GLAZE["film_min_c"],
        }  # fmt: skip
        meter = go.photos(("climate meter", "meter", "the meter at the wall"))
        told = {"session_id": session_id, "facts": facts, "photos": meter, "minutes": 12}
        go.of_piece(key, f"climate {at + 1}", finishing.record_climate, **told)
    for number, minutes in ((1, 10), (2, 170)):
        for zone, gauge in GAUGES.items():
            coat = {
                "product_id": tin[0], "batch_id": tin[1], "product": None, "batch": None,
                "number": number, "zone": zone,
                "wet_um": None, "recoat_hours": None, "reason": None, "note": "sponge-dabbed", "gauge": list(gauge),
                "thinned_percent": 5.0, "volume_l": 0.11, "area_m2": 0.5,
            }  # fmt: skip
            told = {"session_id": session_id, "facts": coat, "minutes": minutes if zone == "grebes" else 15}
            go.of_piece(key, f"coat {number} {zone}", finishing.apply_coat, **told)
    _matched(go, key)
    after = go.photos(("grebes after", "after", "by the fire's light"))
    close = work.CLOSE | {"client_name": "Imke Penhallow (invented)", "client_words": "That is it, by the lamp too."}
    go.of_piece(key, "close", finishing.close_session, session_id=session_id, photos=after, **close)
    with go.store.read() as session:
        piece = go.piece(session, key)
        told = kit.assemble(session, piece.piece_id)
        items = kit.offered(session, piece.piece_id)
    for item in items:
        item["amount"] = "60 ml jar"
    brush: Any = dict.fromkeys(kit.ItemFacts.__annotations__) | {"what": "fine sponge", "amount": "two"}
    words = f"Dab the glaze on undiluted with the fine sponge, feather the edges, two thin coats.\n\n{told}"
    go.of_piece(
        key, "kit", kit.keep, recipe=words, assembled=told, items=[*items, brush], kept="drawer under the window",
        note=None, photos=go.photos(("tin", kit.KIT)),
    )  # fmt: skip


def _matched(go: Filling, key: str) -> None:
    """The sample, three readings a zone, and the client's yes."""
    sample = {"facts": SAMPLE | EYES, "photos": go.photos(("sample", "sample"))}
    sample_id = go.of_piece(key, "sample", colour.make_sample, **sample)
    for zone, readings in READINGS.items():
        for at, (light, a, b, gloss) in enumerate(readings, 1):
            facts = {
                "zone": zone,
                "spot": f"spot {at}",
                "note": None,
                "l": light,
                "a": a,
                "b": b,
                "gloss": gloss,
            } | EYES
            go.of_piece(key, f"colour {zone} {at}", colour.read, sample_id=sample_id, facts=facts, minutes=1)
    go.of_piece(
        key, "colour answer", colour.answer, sample_id=sample_id, yes=True, client_name="Imke Penhallow (invented)",
        client_words="The slate I chose.", light="north window at noon, then the lamps", minutes=2,
    )  # fmt: skip
