"""Lists: what a compiled job needs, as tables of rows that know where they come from."""

#: The lists by name, with what each one tells. One place, so that help, errors and docs agree.
LISTS: dict[str, str] = {
    "bill": "bill of materials: every valve, fitting, flange, gasket, bolt and foot of pipe",
    "joints": "flange list, joint by joint: gasket and bolts of each",
    "hands": "airflow hand: the hand of each coil and handed item, and every move as drawn and as built",
    "bolting": "gaskets, bolts and nuts rolled up for buying",
}

#: What `takeoff` prints when nobody asks for a list by name.
DEFAULT_LISTS = ("bill", "joints", "bolting")
