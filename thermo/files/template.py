"""The commented case that `new` writes: every key, its unit and range, defaults commented out."""

from __future__ import annotations

TEMPLATE = """\
# A case: one ball on one rod. Lengths may end in _mm or _in, temperatures in _C or _F.
# Lines that begin with # hold the default, or an example; take the # away to set your own value.

title = "Earth, the 6 mm ball of the orrery"
# note = "free text"

[ball]
diameter_mm = 6                   # 1 to 30
# material = "100Cr6"             # see `brazeclock list solids`
# hole = "blind"                  # "blind", "through" or "threaded" (tapped, yet a plain rod in it)
# hole_diameter_mm = 2.5          # 0.3 to 20; default: rod + 0.1; of a thread the nominal one
# hole_depth_mm = 3.6             # 0.2 to 60, at full diameter, from the flat or else the pole
# flat_diameter_mm = 0            # flat round the mouth, 0 for none
# point_angle_deg = 118           # 60 to 180; 180 is a flat bottom
# thread_pitch_mm = 0             # of a tapped hole, up to 5; by default it suits the rod: M2.5 x
                                  # 0.45 takes one of 2 mm; the gap is a mean over the thread
# vent_diameter_mm = 0            # vent from the hole's bottom to the far side, 0 for none
# stay_soft = false               # true: to be drilled or tapped afterwards, must not harden again

[rod]
diameter_mm = 2.4                 # 0.3 to 12
# length_mm = 40                  # 2 to 300, mouth of the hole to far end (or to a second ball)
# material = "carbon-steel"       # see `brazeclock list solids`
# stand_off_mm = 0                # 0 to 30, from the rod's tip to the hole's bottom
# eccentricity = 0                # 0 (central) to below 1 (touching the wall)
# far_end = "free"                # "free", "clamp" or "ball"
# stay_soft = false               # true: to be bent, filed or threaded afterwards

# [second_ball]                   # with far_end = "ball": brazed before, its joint may let go
# spacing_mm = 45.477             # 3 to 400, centre to centre; settles the rod's length
# diameter_mm = 6                 # 1 to 30; default: the ball's own
# filler = "Ag 156"               # of its joint; default: the case's own

# [clamp]                         # with far_end = "clamp", or between two balls
# at_mm = 25                      # 1 to 300, from the mouth; default: far end, or midway
# conductance_W_K = 0.03          # 0.001 to 1, usually 0.01 to 0.1

[filler]
# alloy = "Ag 156"                # ISO 17672 or AWS A5.8, see `brazeclock list fillers`
# solidus_C = 620                 # or, in place of alloy, both ends of melting: 200 to 1100
# liquidus_C = 655
# form = "wire"                   # "wire" or "sheet"
# wire_diameter_mm = 0.5          # 0.1 to 5
# sheet_mm = 0.2                  # 0.02 to 2, thickness; with form = "sheet"
# length_mm = "auto"              # "auto", or 0.1 to 500: all the wire that is given
# place = "mouth"                 # "hole-bottom", "mouth", "rod-tip" or "fed"
# azimuth_deg = 0                 # where the filler lies, from the gap's wide side where the rod is
                                  # off centre; of a central rod it changes nothing

[flux]                            # heat damp flux slowly: steam can throw out rod and filler
# type = "FH10"                   # EN 1045 / ISO 18496 or AWS A5.31, see `brazeclock list fluxes`
# range_C = [550, 800]            # or, in place of type, its working range
# coat_mm = 0.3                   # 0 to 2, wet
# water_fraction = 0.3            # 0 to 0.8, free water in the paste
# dried = false                   # true when dried before the flame is struck

[torch]
kind = "pocket"                   # "pocket", "pencil" or "hand"
# fuel = "butane"                 # see `brazeclock list flames`
# fuel_rate_g_per_h = 20          # 0 to 2000; weigh the torch before and after a timed burn
# nozzle_mm = 2.8                 # 0.5 to 40, width of the burner's mouth
# cone_mm = 6.5                   # 1 to 100, length of the bright inner cone
# tip_temperature_C = 1725        # 600 to 2400, gas just beyond the cone
# primary_air = 0.7               # 0 to 2, drawn in at the burner, over that for complete burning
# torch_file = "my-torch.toml"    # values kept in a file beside this one
# gas_temperature_factor = 1      # 0.3 to 1.5, fitted to your torch
# transfer_factor = 1             # 0.1 to 5, fitted to your torch

[setting]
# ambient_C = 20                  # -30 to 60
# support = "free"                # "free", "brick", "brick-behind" or "tweezers"
# attitude = "ball-up"            # "ball-up", "ball-down" or "level"
# light = "dim"                   # "dim" or "bright"

# [uncertainty]                   # half-widths as shares of the value, or [low, high] times it
# torch = 0.3
# flame_width = 0.2
# transfer = 0.3
# distance = 0.2
# aim_mm = 1                      # half-width in mm, or [low, high]
# emissivity = 0.2
# gap_conductance = [0.5, 2]
# filler_contact = [0.3, 3]
# clearance = 0.3
# flux_coat = 0.5
# cue_C = [565, 618]              # half-width in kelvin, or [low, high]

# [[strategy]]                    # the first one is what `heat` runs; default: the best of the
                                  # usual ways, all tried
# name = "clear it, then feed"
# [[strategy.phase]]
# aim = "ball"                    # "ball", "mouth", "rod", or mm along the rod from the mouth
# side = "filler"                 # "filler", "opposite", or degrees from the filler's side
# distance_mm = "cone-tip"        # "cone-tip", or 1 to 150
# motion = "hold"                 # "hold", "round" or "sweep"
# period_s = 2                    # 0.5 to 60, one round or sweep
# until = "flux-clear"            # "flux-dry", "flux-clear", "liquidus", "filled", or seconds
# max_s = 120                     # 0.1 to 3600, the longest it may take
# [[strategy.phase]]
# aim = "mouth"
# until = "filled"
# max_s = 300
"""


def new_case_text() -> str:
    """A commented case of every key, ready to be read and to be changed."""
    return TEMPLATE
