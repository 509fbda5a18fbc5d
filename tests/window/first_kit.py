# SPDX-License-Identifier: GPL-3.0-or-later
"""A first kit: the tables of a spreadsheet, and what must have come of each step of a newcomer, as shimbookctl reads it."""
import drive as ui

BODY_HEADINGS = "Name,Maker,Model,Serial,Mount,Slots,Lowest setting,Highest setting\n"
BODIES = ["Ash,Orrin,O-1,0041233,Orrin F,20,-20,20\n",
          "Birch,Orrin,O-1,0041777,Orrin F,20,-20,20\n",
          "Cedar,Velle,V-2,V-2210,K,5,-10,10\n",
          "Dogrose,Velle,V-2,V-2211,K,5,-10,10\n"]
LENS_HEADINGS = "Make;Model;Serial no.;Bayonet;Focal length;Aperture\n"
LENSES = [f"{maker};{focal} {maker[0]};00{100 + i};{mount};{focal} mm;f/2,8\n"
          for i, (maker, mount, focal) in enumerate((maker, mount, focal) for maker, mount in (("Orrin", "F"), ("Velle", "K"))
                                                    for focal in ("35", "50", "85", "105", "24–70", "70–200"))]


def write_tables(kit, bodies, lenses):
    """Writes so many of the bodies and of the lenses, the last ones, as two programs for tables would. Returns the two paths."""
    paths = kit.home / "bodies.csv", kit.home / "lenses.csv"
    paths[0].write_text(BODY_HEADINGS + "".join(BODIES[-bodies:]), encoding="utf-8")
    paths[1].write_text(LENS_HEADINGS + "".join(LENSES[-lenses:]), encoding="utf-8")
    return paths


def until_bodies(kit, count):
    ui.until(lambda: len(kit.ctl("list", "body")) == count, f"{count} bodies")
    assert {body["mount"] for body in kit.ctl("list", "body")} == {"F", "K"}


def until_lenses(kit, count):
    ui.until(lambda: len(kit.ctl("list", "lens")) == count, f"{count} lenses")
    zoom = next(lens for lens in kit.ctl("list", "lens") if lens["label"] == "Velle 70–200 V")
    assert (zoom["serial"], zoom["focal_min_mm"], zoom["focal_max_mm"], zoom["aperture_wide"]) == ("00111", 70, 200, 2.8), zoom


def until_knock(kit, note=None):
    def is_noted():
        """A knock that does not cast doubt would leave every pair of the body tuned."""
        return [event for event in kit.ctl("list", "event")
                if event["event_kind"] == "knock" and event["note"] == note and event["casts_doubt"]]
    ui.until(is_noted, "the knock in the register, with its doubt")


def until_keyed(kit, body, slots):
    ui.until(lambda: [slot["state"] for slot in kit.ctl("slots", body) if slot["state"] != "free"] == ["keyed"] * slots,
             f"{slots} keyed slots of {body}")
