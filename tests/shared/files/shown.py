"""The examples of the documentation: what people wrote after them must go on being read."""

SHOP = """
[shop]
name = "Kittiwake Print Room"
currency = "USD"
zone = "America/New_York"
database = "sqlite:///ledger.db"
repeat_window_s = 2

[hours]
mon = ["08:00-12:00", "12:30-17:00"]
closed = [2026-12-25]

[prices]
labour_per_hour = "18.00"
overhead_per_labour_hour = "9.50"
spoilage_allowance = "0.03"
pretreat_per_kg = "14.00"
white_ink_per_ml = "0.21"
colour_ink_per_ml = "0.19"

[inks]
colour = { dpi = [600, 600], drop_pl = 21, passes = 1 }
white  = { dpi = [600, 600], drop_pl = 21, passes = 2 }

[items."heavy tee"]
cost = "2.60"
size_cost = { "2XL" = "3.90" }
shades = { white = "light", natural = "light", navy = "dark", black = "dark" }
routes = { light = "light garment", dark = "dark garment" }
height_mm = 5

[steps.pretreat]
event = "pretreated"
kind = "hand"
scans = "out"
if_missed = "assume"
touch_s = 45
uses = { pretreat_g = "24" }

[steps.underlayer]
event = "underlayer printed"
kind = "machine"
touch_s = 30
machine_s = 120

[steps.inspect]
event = "inspected"
kind = "hand"
touch_s = 15

[steps.colour]
event = "colour printed"
kind = "machine"
scans = "out"
if_missed = "stop"
touch_s = 30
machine_s = 120

[steps.cure]
event = "cured"
kind = "dwell"
if_missed = "stop"
min_s = 180
touch_s = 20
wait_limit_s = 1200
settings = { temperature_c = 165, cover = "parchment" }
uses = { consumables = "0.03" }

[steps.pack]
event = "packed"
kind = "hand"
touch_s = 20

[routes]
"light garment" = ["colour", { step = "cure", min_s = 60 }, "pack"]
"dark garment" = ["pretreat", "underlayer", "inspect", "colour", "cure", "pack"]

[[stations]]
name = "press 1"
steps = ["cure"]
machine_per_hour = "4.00"

[[stations]]
name = "bench"
steps = ["pretreat", "underlayer", "inspect", "colour", "pack"]

[[badges]]
name = "A"
per_hour = "19.50"

[[scanners]]
name = "press gun"
port = "/dev/serial/by-id/usb-0001"
station = "press 1"
baud = 9600

[[care]]
name = "stir white ink"
every = "8h"

[pages]
listen = "127.0.0.1:8765"
"""

JOB = """
customer = "Harbour rowing club"
due = 2026-12-02T16:00:00
[[lines]]
design = "oars"
item = "heavy tee"
colour = "navy"
sizes = { S = 4, M = 10, L = 8, "2XL" = 4 }
price_each = "21.50"
[[lines.prints]]
place = "front"
artwork = "oars.png"
width_mm = 305
height_mm = 330
# white_ml = "4.1"
# colour_ml = "1.6"
"""
