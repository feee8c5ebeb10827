#!/usr/bin/python3
"""Makes the invented town of the example: roads.osm.pbf (OpenStreetMap format) and pools.csv beside this script.

Quillmere valley does not exist. Its coordinates lie in the open sea on purpose, so that no real street is meant.
Run it again and the same bytes come out (for one version of zlib); nothing but Python's standard library is used.
"""

import csv
import math
import pathlib
import random
import struct
import zlib

FOLDER = pathlib.Path(__file__).resolve().parent
CENTRE_LONGITUDE, CENTRE_LATITUDE = -93.0, 28.2
METRES_PER_DEGREE = 6371008.8 * math.pi / 180.0
PARALLEL = math.cos(math.radians(CENTRE_LATITUDE))

# name, west, south, east, north (km), streets' spacing (m) along and across, pools, fill water
NEIGHBOURHOODS = [
    ("Old Ferry", -1.25, 0.40, 1.25, 2.15, 95, 105, 46, "river works"),
    ("Fennel Hollow", -4.35, 0.45, -1.70, 2.30, 120, 110, 48, "river works"),
    ("Quarry Rise", 1.75, 0.45, 4.30, 2.40, 125, 115, 52, "hill bore"),
    ("Larkmead", -1.60, 2.75, 1.60, 4.40, 120, 120, 42, "river works"),
    ("Southmere", -3.30, -2.30, -0.40, -0.45, 115, 110, 40, "south wells"),
    ("Orchard End", 0.35, -2.45, 3.10, -0.45, 120, 110, 32, "south wells"),
]
FIRST_WORDS = """Alder Bittern Bracken Candle Cinder Clover Copper Coral Crane Damson Dapple Ember Fallow Fern Flint
Gorse Hazel Heron Hollow Ivory Juniper Kestrel Lantern Linnet Marram Mallow Meadow Millet Nettle Oat Otter Pebble Plover
Quince Reed Rowan Russet Saffron Sedge Sorrel Swift Tansy Teasel Thistle Umber Velvet Wagtail Willow Wren Yarrow""".split()
LAST_WORDS = "Lane Row Street Way Rise Close Walk Drive Avenue Terrace Path Mews Bank Acre Loop Hill".split()


def warped(x_m, y_m):
    """Gentle bends, the same for every street, so that crossings stay crossings."""
    return (x_m + 38 * math.sin(y_m / 410.0) + 22 * math.sin(y_m / 170.0 + x_m / 900.0),
            y_m + 34 * math.sin(x_m / 520.0) + 18 * math.sin(x_m / 210.0 - y_m / 700.0))


def coordinates(x_m, y_m):
    return (CENTRE_LONGITUDE + x_m / (METRES_PER_DEGREE * PARALLEL), CENTRE_LATITUDE + y_m / METRES_PER_DEGREE)


class Town:
    def __init__(self, seed):
        self.random = random.Random(seed)
        self.points = []  # (x, y) in m; a node's id is its place plus 1
        self.ways = []  # (list of nodes, tags)
        self.frontages = {}  # neighbourhood -> list of (street name, node, node)
        self.edges = {}  # neighbourhood -> {(column, row): node}
        self.names = [f"{first} {last}" for last in LAST_WORDS for first in FIRST_WORDS]
        self.random.shuffle(self.names)

    def node(self, x_m, y_m):
        self.points.append((x_m, y_m))
        return len(self.points) - 1

    def bent(self, a, b, how_far_m):
        """A node between two others, moved sideways."""
        (xa, ya), (xb, yb) = self.points[a], self.points[b]
        length = math.hypot(xb - xa, yb - ya) or 1.0
        return self.node((xa + xb) / 2 - (yb - ya) / length * how_far_m, (ya + yb) / 2 + (xb - xa) / length * how_far_m)

    def neighbourhood(self, name, west, south, east, north, along_m, across_m):
        columns = int((east - west) * 1000 / along_m) + 1
        rows = int((north - south) * 1000 / across_m) + 1
        lattice = {}
        for column in range(columns):
            for row in range(rows):
                lattice[column, row] = self.node(*warped(west * 1000 + column * along_m, south * 1000 + row * across_m))
        self.edges[name] = (lattice, columns, rows)
        frontages = self.frontages.setdefault(name, [])
        lines = [[(column, row) for column in range(columns)] for row in range(rows)]
        lines += [[(column, row) for row in range(rows)] for column in range(columns)]
        for number, line in enumerate(lines):
            is_row = number < rows
            index = number if is_row else number - rows
            last = rows - 1 if is_row else columns - 1
            rim = index in (0, last)
            middle = index == last // 2
            tags = {"name": self.names.pop()}
            if rim:
                tags.update(highway="tertiary", maxspeed="30 mph")
            elif middle:
                tags.update(highway="secondary", maxspeed="35 mph")
            else:
                tags.update(highway="residential", maxspeed="25 mph")
            # The old town's narrow streets run one way, in turns.
            forward = True
            if name == "Old Ferry" and not rim and not middle:
                tags["oneway"] = "yes"
                forward = index % 2 == 0
            piece = [lattice[line[0]]]
            for before, after in zip(line, line[1:]):
                a, b = lattice[before], lattice[after]
                # Some blocks were never cut through; the rim, the main streets and the one-way streets are whole.
                if not rim and not middle and "oneway" not in tags and self.random.random() < 0.13:
                    self.add_way(piece, tags, forward)
                    piece = [b]
                    continue
                if self.random.random() < 0.18:
                    piece.append(self.bent(a, b, self.random.uniform(-11, 11)))
                piece.append(b)
                if tags["highway"] == "residential":
                    frontages.append((tags["name"], a, b))
            self.add_way(piece, tags, forward)
        # Cul-de-sacs inside the larger blocks.
        for column in range(1, columns - 1):
            for row in range(1, rows - 1):
                if name == "Old Ferry" or self.random.random() > 0.16:
                    continue
                head = lattice[column, row]
                x, y = self.points[head]
                first = self.node(x + 0.28 * along_m, y + 0.22 * across_m)
                end = self.node(x + 0.45 * along_m + self.random.uniform(-9, 9), y + 0.5 * across_m)
                street = self.names.pop()
                self.add_way([head, first, end], {"highway": "living_street", "maxspeed": "15 mph", "name": street}, True)
                frontages.append((street, first, end))

    def add_way(self, nodes, tags, forward):
        if len(nodes) > 1:
            self.ways.append((nodes if forward else nodes[::-1], dict(tags)))

    def rim_node(self, name, side, share):
        lattice, columns, rows = self.edges[name]
        if side in "ns":
            return lattice[round(share * (columns - 1)), 0 if side == "s" else rows - 1]
        return lattice[0 if side == "w" else columns - 1, round(share * (rows - 1))]

    def link(self, start, end, tags, bends=3, sway_m=25.0):
        a, b = self.rim_node(*start), self.rim_node(*end)
        (xa, ya), (xb, yb) = self.points[a], self.points[b]
        length = math.hypot(xb - xa, yb - ya)
        nodes = [a]
        for k in range(1, bends + 1):
            t = k / (bends + 1)
            sway = sway_m * math.sin(math.pi * t) * (1 if k % 2 else -0.4)
            nodes.append(self.node(xa + t * (xb - xa) - (yb - ya) / length * sway, ya + t * (yb - ya) + (xb - xa) / length * sway))
        self.ways.append((nodes + [b], tags))
        return nodes + [b]

    def river(self):
        nodes = [self.node(x, 45 * math.sin(x / 900.0)) for x in range(-5200, 5201, 260)]
        self.ways.append((nodes, {"waterway": "river", "name": "Quill"}))

    def reachable(self, reverse):
        """Nodes that roads reach from node 0, against the traffic when `reverse`."""
        onward = {}
        for nodes, tags in self.ways:
            if "highway" not in tags:
                continue
            for a, b in zip(nodes, nodes[1:]):
                one_way = tags.get("oneway") == "yes"
                if not one_way or not reverse:
                    onward.setdefault(a, []).append(b)
                if not one_way or reverse:
                    onward.setdefault(b, []).append(a)
        seen, todo = {0}, [0]
        while todo:
            for other in onward.get(todo.pop(), ()):
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
        return seen

    def junctions(self):
        degree = {}
        for nodes, tags in self.ways:
            if "highway" in tags:
                for a, b in zip(nodes, nodes[1:]):
                    degree[a] = degree.get(a, 0) + 1
                    degree[b] = degree.get(b, 0) + 1
        return sum(1 for d in degree.values() if d != 2)


def build_town():
    town = Town(20270301)
    for name, west, south, east, north, along_m, across_m, _, _ in NEIGHBOURHOODS:
        town.neighbourhood(name, west, south, east, north, along_m, across_m)
    arterial = {"highway": "primary", "maxspeed": "45 mph"}
    street = {"highway": "secondary", "maxspeed": "35 mph"}
    town.link(("Fennel Hollow", "e", 0.25), ("Old Ferry", "w", 0.3), {**arterial, "name": "Valley Road"})
    town.link(("Fennel Hollow", "e", 0.8), ("Old Ferry", "w", 0.85), {**street, "name": "Upper Valley Road"})
    town.link(("Old Ferry", "e", 0.3), ("Quarry Rise", "w", 0.25), {**arterial, "name": "Valley Road"})
    town.link(("Old Ferry", "e", 0.8), ("Quarry Rise", "w", 0.7), {**street, "name": "Upper Valley Road"})
    town.link(("Old Ferry", "n", 0.35), ("Larkmead", "s", 0.4), {**arterial, "name": "Larkmead Road"})
    town.link(("Old Ferry", "n", 0.8), ("Larkmead", "s", 0.7), {**street, "name": "Beacon Road"})
    town.link(("Fennel Hollow", "n", 0.6), ("Larkmead", "w", 0.3), {**arterial, "name": "North Ring"}, bends=5, sway_m=70)
    town.link(("Quarry Rise", "n", 0.4), ("Larkmead", "e", 0.3), {**arterial, "name": "North Ring"}, bends=5, sway_m=-70)
    town.link(("Southmere", "e", 0.6), ("Orchard End", "w", 0.6), {**arterial, "name": "South Road"})
    town.link(("Southmere", "e", 0.2), ("Orchard End", "w", 0.2), {**street, "name": "Well Lane"})
    # The river is crossed in two places only.
    bridge = {"bridge": "yes", "layer": "1"}
    town.link(("Old Ferry", "s", 0.2), ("Southmere", "n", 0.9), {**arterial, **bridge, "name": "Ferry Bridge"}, bends=2, sway_m=8)
    town.link(("Quarry Rise", "s", 0.1), ("Orchard End", "n", 0.65), {**arterial, **bridge, "name": "Quarry Bridge"}, bends=2, sway_m=8)
    town.river()
    forth, back = town.reachable(False), town.reachable(True)
    keep = forth & back
    town.ways = [(nodes, tags) for nodes, tags in town.ways if "highway" not in tags or set(nodes) <= keep]
    for name in town.frontages:
        town.frontages[name] = [front for front in town.frontages[name] if front[1] in keep and front[2] in keep]
    return town


# ---------------------------------------------------------------- OpenStreetMap PBF, as wiki.openstreetmap.org has it


def varint(value):
    out = bytearray()
    while True:
        out.append((value & 0x7F) | (0x80 if value > 0x7F else 0))
        value >>= 7
        if not value:
            return bytes(out)


def zigzag(value):
    return varint((value << 1) ^ (value >> 63) if value >= 0 else ((-value) << 1) - 1)


def field(number, content):
    if isinstance(content, int):
        return varint(number << 3) + varint(content)
    return varint(number << 3 | 2) + varint(len(content)) + content


def deltas(values):
    return b"".join(zigzag(b - a) for a, b in zip([0] + values, values))


def blob(kind, content):
    body = field(2, len(content)) + field(3, zlib.compress(content, 9))
    header = field(1, kind) + field(3, len(body))
    return struct.pack(">I", len(header)) + header + body


def write_pbf(path, town):
    strings = [b""]
    places = {b"": 0}

    def string(text):
        data = text.encode()
        if data not in places:
            places[data] = len(strings)
            strings.append(data)
        return places[data]

    used = sorted({node for nodes, _ in town.ways for node in nodes})
    positions = [coordinates(*town.points[node]) for node in used]
    dense = field(1, deltas([node + 1 for node in used]))
    dense += field(8, deltas([round(latitude * 1e7) for _, latitude in positions]))
    dense += field(9, deltas([round(longitude * 1e7) for longitude, _ in positions]))
    ways = b""
    for number, (nodes, tags) in enumerate(town.ways, 1):
        keys = b"".join(varint(string(key)) for key in sorted(tags))
        values = b"".join(varint(string(tags[key])) for key in sorted(tags))
        way = field(1, number) + field(2, keys) + field(3, values) + field(8, deltas([node + 1 for node in nodes]))
        ways += field(3, way)
    table = b"".join(field(1, text) for text in strings)
    block = field(1, table) + field(2, field(2, dense)) + field(2, ways)
    header = field(4, b"OsmSchema-V0.6") + field(4, b"DenseNodes") + field(16, b"make_valley.py")
    path.write_bytes(blob(b"OSMHeader", header) + blob(b"OSMData", block))


# ---------------------------------------------------------------- Pools


def pools_of(town):
    draw = random.Random(48)
    taken = set()
    rows = []
    for name, _, _, _, _, _, _, count, fill_water in NEIGHBOURHOODS:
        for _ in range(count):
            while True:
                street, a, b = draw.choice(town.frontages[name])
                pool_name = f"{street} {draw.randrange(1, 60)}"
                if pool_name not in taken:
                    taken.add(pool_name)
                    break
            (xa, ya), (xb, yb) = town.points[a], town.points[b]
            t, aside = draw.uniform(0.2, 0.8), draw.choice((-1, 1)) * draw.uniform(18, 32)
            length = math.hypot(xb - xa, yb - ya)
            longitude, latitude = coordinates(xa + t * (xb - xa) - (yb - ya) / length * aside,
                                              ya + t * (yb - ya) + (xb - xa) / length * aside)
            kind = draw.choices(("home", "holiday let", "small club"), (84, 12, 4))[0]
            middle = {"home": 52, "holiday let": 62, "small club": 98}[kind]
            volume = min(120.0, max(30.0, middle * math.exp(0.27 * draw.gauss(0, 1))))
            area = volume / draw.uniform(1.28, 1.52)
            # Cells come in sizes; the next one up from the volume's need is what gets installed.
            need = volume * draw.uniform(0.0095, 0.0125)
            rating = next((size for size in (0.4, 0.5, 0.6, 0.8, 1.0) if size >= need), 1.0)
            shade = {"Old Ferry": 0.76, "Fennel Hollow": 0.80, "Larkmead": 0.90}.get(name, 0.94)
            cover = draw.choices(("none", "bubble", "solid"), (70, 18, 12))[0]
            bathers = {"home": 0.9, "holiday let": 2.6, "small club": 9.0}[kind] * math.exp(0.4 * draw.gauss(0, 1))
            fee = {"home": 165, "holiday let": 210, "small club": 390}[kind] + 5 * round((volume - middle) / 8)
            rows.append({
                "name": pool_name,
                "neighbourhood": name,
                "class": kind,
                "longitude": f"{longitude:.6f}",
                "latitude": f"{latitude:.6f}",
                "water_volume [m3]": f"{volume:.1f}",
                "surface_area [m2]": f"{area:.1f}",
                "catchment_area [m2]": f"{area * draw.uniform(1.0, 1.4):.1f}",
                "cover": cover,
                "covered_share [%]": "0" if cover == "none" else f"{draw.uniform(30, 60):.0f}",
                "fill_water": fill_water,
                "automatic_refill": draw.choices(("yes", "no"), (65, 35))[0],
                "sun_exposure [%]": f"{100 * min(1.0, max(0.5, shade + 0.08 * draw.gauss(0, 1))):.0f}",
                "cell_rating [kg/d]": f"{rating:.1f}",
                "pump_hours [h]": str(draw.choice((8, 9, 10, 10, 12))),
                "bathers_per_day": f"{bathers:.1f}",
                "gate_opens": "06:00" if kind == "small club" else "",
                "gate_closes": "13:00" if kind == "small club" else "",
                "skill": "club" if kind == "small club" else "",
                "fee_per_month": str(fee),
            })
    return rows


def main():
    town = build_town()
    write_pbf(FOLDER / "roads.osm.pbf", town)
    rows = pools_of(town)
    with open(FOLDER / "pools.csv", "w", newline="", encoding="utf-8") as out:
        writer = csv.DictWriter(out, fieldnames=list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)
    print(f"{town.junctions()} junctions, {len(town.ways)} ways, {len(rows)} pools")


if __name__ == "__main__":
    main()
