// A skid of the program's own units, small enough to be built thousands of times a second: water runs from a main
// through a valve and a hose into the drain.
#pragma once

namespace wetrun::fuzz {

inline constexpr char bench_skid[] = R"(kind = "skid"
version = 1
name = "bench"
title = "Bench"
[site]
ambient = "18 degC"
[start]
water = "permeate"
temperature = "18 degC"
[node.joint]
elevation = "0.5 m"
volume = "8 L"
[unit.main]
type = "header"
pressure = "1 bar"
water = "permeate"
temperature = "18 degC"
elevation = "1.5 m"
[unit.drain]
type = "sewer"
place = "drain"
elevation = "0 m"
trap = "10 L"
[unit.valve]
type = "valve"
from = "main.out"
to = "joint"
kv = "12 m3/h/bar^0.5"
characteristic = "ball"
stroke = "3 s"
[unit.hose]
type = "line"
from = "joint"
to = "drain.in"
length = "3 m"
diameter = "50 mm"
fittings = "2.5"
)";

}  // namespace wetrun::fuzz
