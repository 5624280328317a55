// What the eye makes of a tank: colour, layers, mist over the surface, solid on the floor. Readings only, never state.
//
// Colour       share of blue light (450 nm) that a path l through the liquid keeps back:  1 - 10^-A,  A = eps c l
//                (Beer and Lambert), l = 20 mm, the bore of a sight glass (common practice)
//              iron: eps = 6 m2/mol. Ferric iron with citrate or hydroxide is yellow to brown: strong bands in the near
//                ultraviolet whose tails reach into the blue. The size is invented for the demo, so that 2 mol/m3
//                (0.1 g/L of iron) is plainly yellow and 10 mol/m3 brown; speciation is left out.
//              organic matter: eps = 100 m2/kg. Waters coloured by humic matter have 0.3 to 0.6 m2/g at 436 nm (from
//                memory); slime is mostly colourless, hence a quarter of that (invented for the demo).
// Layer        dn = 3.34e-4 m3/kg (rho_bottom - rho_bulk): Gladstone & Dale for water, (n - 1)/rho = 0.3330/997
//                (n = 1.3330 at 589 nm, 20 degC: from memory).  seen = 1 - exp(-dn/1e-3): streaks begin near 1e-4, a
//                boundary is plain beyond 1e-3 (sizes invented). Nothing is seen of a lighter bottom, which turns over.
// Mist         vapour that is too much where equal parts of saturated air from the surface (p_s(T), IAPWS R7-97) and of
//                site air at 60 % humidity meet:
//                e = (p_s(T) + 0.6 p_s(T_air))/2 - p_s((T + T_air)/2),   seen = 1 - exp(-max(e, 0)/1500 Pa)
//                Over air of 18 degC it begins near 36 degC and is plain from 40 to 45 degC, as common practice has it.
//                Latent heat that warms the mixture is left out; 60 % and 1500 Pa (a fog of 11 g/m3) are invented.
// Floor        a person looks down through the manhole. Solid of 800 kg/m3 in bulk covers the floor 5 mm deep:
//                cover = 1 - exp(-m/(4 kg/m2 A_floor)). Contrast falls with depth h as exp(-(400 m2/kg s + ln(10) a) h)
//                (s suspended solids [kg/m3], 0.4 m2/g as of natural waters, from memory; a the colours above as
//                A/l [1/m]) and is lost at 2 % (Koschmieder's threshold, from memory), plain at 20 %. Foam hides it.
// Range: any; all results lie in 0..1. Errors: light, angle and the eye differ by more than these laws.
// Test: tests/unit/tank_look_test.cpp.
#pragma once

namespace wetrun {

double iron_absorbance_per_m(double iron_mol_m3);
double organic_absorbance_per_m(double organic_kg_m3);
/// 0 clear, 1 no blue light comes through the sight glass.
double sight_glass_colour(double absorbance_per_m);
double layer_seen(double bottom_excess_kg_m3);
double mist_seen(double liquid_k, double air_k);
double floor_seen(double lying_kg, double floor_m2, double depth_m, double suspended_kg_m3, double absorbance_per_m,
                  double foam);

}  // namespace wetrun
