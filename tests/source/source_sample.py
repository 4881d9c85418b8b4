"""A whole file that uses most of the language, for tests that break it."""

SAMPLE = """# The gallery's air handlers
project "Saltmarsh Aquarium: gallery air handlers"
use "shop.hookup"

service chilled-glycol  # closed loop
    propylene glycol, 30 % by volume
    design 125 psi, 24 degF to 100 degF
    spec steel-welded
    insulate 2 in

service well-water
    water
    design 100 psi, 48 degF to 90 degF
    spec steel-welded
    # the well is cold in spring
    heat traced
    coldest surroundings -5 degF

spec shop-steel, like steel-welded
    1/2 to 2       threaded, carbon steel schedule 80, malleable iron class 150
    2-1/2 to 12    welded, carbon steel schedule 40, flanges class 150 raised face slip-on
    gaskets        ring, 1/8 in, compressed fiber
    bolts          studs with two heavy hex nuts
    branches
        2-1/2 to 4     reducing tee
    weld gap       1/8 in

kind duplex strainer, like basket strainer
    strains

lengths of balancing valve, flanged
    2-1/2, 11-1/2 in
    DN80, 310 mm

assembly hose drain, 3/4, drains
    ball valve, normally closed
    hose end, with cap and chain

typical gallery-pair, drawn with airflow left to right
    coil PRE on well-water
        supply low at leaving side, 2-1/2 flanged
        return high at entering side, 2-1/2 flanged
        holds 8 gal
    coil TRIM on chilled-glycol
        supply low at leaving side, 3 male thread
        return high at entering side, 3 male thread
        headers copper
        holds 19 gal

    supply to TRIM, 4
        from main CGS
        through floor
        up 2 ft 4 in
        butterfly valve BV-*01, lug
        tee T-*1, 2-1/2
        strainer ST-*01
        left 1 ft 6 in
        up 1 ft, right 8 in, at 45
        drain 3/4
        test port
    return from TRIM, 4
        vent 1/2
            vacuum breaker       # a branch off the vent
        thermowell TE-*01
        balancing valve FB-*01, flanged
        control valve TCV-*01, 3, flanged, fails closed
        right 10 ft, pitch 1/8 in per ft
        tee T-*2, 2-1/2
        butterfly valve BV-*02, lug
        down 6 ft, field fit
        about 12 ft
        to main CGR

    crossover from T-*1 to T-*3, 2-1/2
        butterfly valve XV-*01, lug, normally closed
    bypass from TCV-*01 bypass to PRE return

    lineup "glycol on both coils"
        closed BV-*03, BV-*04
        open XV-*01, XV-*02
        expect PRE on chilled-glycol

unit GA-1 is gallery-pair, number 1, airflow right to left
unit GA-2 is gallery-pair, number 2, airflow left to right
    omit ST-*01
    resize BV-*01 to 3
    replace BV-*02 with ball valve, flanged
    add drain 3/4 after BV-*01

takeoff
    pipe in 21 ft lengths, 5 % waste
    spare gaskets 10 %
# the end
"""
