"""The commented job file that `fittings new` writes."""

TEMPLATE = '''# A job for fittings. Plan it with:  fittings plan job.toml
# Everything after a # is a remark. What is below is an example: a gate lift on a feed mixer. Change it to yours.

title = "Gate lift on the feed mixer"
units = "both"                    # inch | metric | both: how answers are printed

[system]
relief      = "2500 psi"          # what the relief valve is set to, read off a gauge: psi, bar or MPa
flow        = "10 gpm"            # what the pump gives: gpm or L/min
oil         = "ISO VG 46"
temperature = { cold = "0 C", hot = "60 C" }        # coldest start, hottest oil

# Every thing that has ports is a component. A port is written in the words of the trade:
# "ORB -8 port", "BSPP 3/8 port", "NPT 1/2 female", "M22x1.5 ISO 6149 port", "ISO 7241-A 1/2 body".
# What you hold in your hand and cannot name: fittings identify.

[[component]]
name   = "valve"
kind   = "valve"                  # valve | pump | motor | cylinder | tank | coupler | filter | manifold | other;
#                                   or what it is on the inside, and it is planned for: shut-off valve | flow control | check valve |
#                                   hose-burst valve | pilot check | counterbalance valve | reducing valve (ports in, out) |
#                                   flow divider | gear divider | spool divider | accumulator | hand pump |
#                                   regenerative valve
centre = "open"                   # open | closed | float (A and B to tank) | motor (all four joined), for a valve
# bypass = "25 psi"               # for a filter: what its bypass opens at; psi is what its housing stands
# material = "aluminium"          # of the body its ports are in, where that is not steel or cast iron: aluminium | brass | stainless |
#                                 # malleable-iron: less torque, and less pressure unless psi gives the maker's rating
# on     = { C = "gate cylinder.cap" }    # a lock valve that sits on a port itself: its port C, which stands in no line
ports  = { P = "ORB -10 port", T = "ORB -10 port", A = "ORB -8 port", B = "ORB -8 port" }

[[component]]
name  = "pump"
kind  = "pump"
ports = { out = "ORB -10 port" }

[[component]]
name  = "tank"
kind  = "tank"
ports = { return = "NPT 3/4 female" }

[[component]]
name        = "gate cylinder"
cylinder    = { bore = "2 in", rod = "1.25 in", stroke = "12 in" }      # load = "3000 lbf" if you know it,
#                                   and load_acts = "pushes" (the rod in) or "pulls" (it out)
ports       = { cap = "ORB -6 port", rod = "ORB -6 port" }      # cap: the end without the rod
psi         = "3000 psi"          # the maker's rating, off the plate
back_driven = false               # can something else push this cylinder while its valve is shut?
# fit = { closed = "20.25 in", retracted = "20 in", extended = "32 in", eye = "1.5 in", gap = "2.5 in" }
#   does it fit: pin to pin when shut, and what the place asks for; also replaces = { bore = "2 in", rod = "1 in" },
#   pin and hole, port_from_pin and obstacle_from_pin
# vented    = ["rod"]             # a single-acting cylinder: the rod end is open to the air on purpose
# back_by   = "load"              # load | spring | cylinder: what brings a single-acting one back

# Every hose is a line from a port to a port.

[[line]]
name  = "pressure"
from  = "pump.out"
to    = "valve.P"
kind  = "pressure"                # pressure | return | suction | drain | work
route = { length = "48 in" }      # port to port along the way the hose will lie

[[line]]
name  = "return"
from  = "valve.T"
to    = "tank.return"
kind  = "return"
route = { length = "60 in" }
# pressure = "200 psi"            # the most this line can see, when it is not what is usual
# flow     = "15 gpm"             # when it is not the pump's

[[line]]
name  = "lift"
from  = "valve.A"
to    = "gate cylinder.cap"       # or a list of ports: the line then splits with a tee
kind  = "work"
route = { length = "72 in" }
# route = { swing = { pivot_to_from = "10 in", pivot_to_to = "14 in", angle = ["40 deg", "150 deg"] } }
#   a hose across a pivot: distances pivot to port, and the angle between those two lines at both ends of the motion;
#   from_points, to_points = "90 deg": where each port looks, counter-clockwise from its own line pivot to port
# hose  = { type = "2SN", size = "-8" }                 # only what is settled already
# can_close = true                # something in this line can shut while the cylinder moves; false: nothing in it can

[line.at_to]                      # also at_from
shape = "90"                      # straight | 45 | 90: what the room at that port asks for
room  = "3 in"                    # free height above the port face
# next_port = "1.75 in"           # centre to centre to the port beside it: do both hexagons and a spanner go in
# spotface  = "0.9 in"            # across the flat round the port's mouth, where it looks small

[[line]]
name  = "lower"
from  = "valve.B"
to    = "gate cylinder.rod"
kind  = "work"
route = { length = "80 in" }

[limits]
avoid     = []                    # families to keep out, as in ["npt"]; a port that is one is still joined
max_parts = 2                     # adapters at either end of a hose, at most
# full_bore = true                # no adapter and no hose end narrower than the narrower of hose and port

# [stock]
# file = "shelf.csv"              # qty,part,price,place: used before anything is bought; seen from this file's folder
'''
