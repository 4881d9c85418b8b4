"""Lists: what a compiled job needs, as tables of rows that know where they come from."""

#: The lists by name, with what each one tells. One place, so that help, errors and docs agree.
LISTS: dict[str, str] = {
    "bill": "bill of materials: every valve, fitting, flange, gasket, bolt and foot of pipe",
    "joints": "flange list, joint by joint: gasket and bolts of each",
    "hands": "airflow hand: the hand of each coil, and the handed items and moves that are built otherwise than drawn",
    "bolting": "gaskets, bolts and nuts rolled up for buying",
    "lineups": "in each lineup what every coil carries, whether that is expected, and its way from main to main",
    "positions": "in each lineup every isolation valve: open or shut, who says so, what stands in it",
    "standing": "in each lineup, line by line: which service stands there, and whether and which way it flows",
    "separation": "in each lineup what keeps two services apart: shut valves, bleeds, the fewest that part them",
    "changeover": "from one lineup to another: which valves change, in a safe order, with proof and draining between",
    "drain-and-fill": "each coil and each piece between shutoffs: how it is drained and filled, and what stays in it",
    "pressure-test": "each coil and each piece between shutoffs: what comes out, how high the test goes, step by step",
    "lockout": "for each coil: what is shut, locked and opened before anyone works on it, and how that is proved",
    "cuts": "cut list: every piece of pipe and tube, its length, its ends and what it goes between",
    "closing": "closing table: every straight as centre to centre = take-outs + pieces + gaps + cut",
    "welds": "weld list: number, place, size, preparation, weld metal and filler of each, with room for the log",
    "weld-totals": "welds in joints and inch-diameters, by kind, size and shop or field",
    "filler": "rod and wire to buy for all welds, by pass where the spec gives passes",
    "made-up-joints": "threaded joints with sealant, soldered joints with alloy, grooved couplings, by size",
    "weights": "dry, fluid, insulation and full weight of each line and unit, with what is not in it",
    "nozzle-loads": "what hangs on each connection of a coil, with its first hanger and without",
    "hangers": "every hanger: clevis over the insulation, rod, load; and how many of each to buy",
    "insulation": "insulation by service, thickness and size: pipe, fittings, covers, taps, area of the jacket",
    "heat-trace": "heat trace: cable with the extra at valves, flanges and supports, watts, seals, power connections",
    "penetrations": "holes through floors and walls: width, saw, sleeve, whether the hole in the file is wide enough",
    "condensate": "condensate drains: pan outlet, least drop and seal of the trap, size and fall, where declared",
    "spools": "spools: size over all, weight, centre of gravity, welds, and whether they keep within the limits",
    "spool-pieces": "spool sheets: the pieces of each spool, cut lengths, numbers of the welds",
    "stock": "which pieces are cut from which length, with what is left of it",
    "charge": "fluid charge: what pipe, fittings, bodies and coils hold, by service and unit",
    "charge-to-buy": "glycol and water for all units, by service: freezing point, spare, drums to buy",
    "consumables": "filler, thread sealant, solder, flux, lubricant and spare gaskets, with the joints that take them",
    "valves": "valve schedule by tag: size, ends, class, normal position, operator, service, line",
    "instruments": "instrument list by tag: size, ends, what it reads, service, line",
    "coils": "coil schedule: connections, hand to order, headers, volume, flow, rows",
    "tags": "tags for engraving, one row each: service, normal position, what a shutoff isolates",
    "stock-to-buy": "lengths of pipe and tube to buy, by size and material, and how near that is to the least",
}

#: What `takeoff` prints when nobody asks for a list by name.
DEFAULT_LISTS = ("bill", "joints", "bolting")
