// Six foulants on a membrane: how much hydraulic resistance and channel they take, and how fast they leave.
// Amounts are kg per m2 of membrane. Removal is by dissolution (into the liquid's components, by stoichiometry) and by
// detachment (into the suspended solid of the same kind). Equations and sources: foulant.cpp and
// models/foulant/README.md.
#pragma once
#include <array>
#include <span>

#include "models/solution/solution.h"

namespace wetrun {

using FoulantAmounts = std::array<double, foulant_count>;  // kg/m2, in the order of enum Foulant

struct FoulantInfo {
  const char* name;               // "carbonate_scale"
  const char* title;              // "carbonate scale"
  double specific_resistance;     // m/kg: added membrane resistance per kg/m2
  double layer_density_kg_m3;     // deposit volume per area = mass / this (wet layer)
  double salt_passage_per_kg_m2;  // relative rise of salt passage per kg/m2
  const char* source;             // where these numbers come from
};
extern const std::array<FoulantInfo, foulant_count> foulant_info;

/// Deposit on a patch of membrane. `mobile` can be removed, `fixed` is the irreversible share.
struct Deposit {
  FoulantAmounts mobile{};
  FoulantAmounts fixed{};
};

/// What a deposit does to membrane and channel.
struct DepositEffect {
  double resistance_1_m = 0;  // to be added to the membrane's own
  double thickness_m = 0;     // narrows the feed channel
  double salt_passage = 0;    // relative rise of the salt passage
};
DepositEffect deposit_effect(std::span<const double, foulant_count> mobile,
                             std::span<const double, foulant_count> fixed);
inline double deposit_resistance(const Deposit& d) { return deposit_effect(d.mobile, d.fixed).resistance_1_m; }
inline double deposit_thickness(const Deposit& d) { return deposit_effect(d.mobile, d.fixed).thickness_m; }

/// What removal depends on, besides the deposits. Costly: evaluated twice a step and held.
struct RemovalConditions {
  double temperature_k = 298.15;
  double ph = 7;
  double hydroxide_activity = 0;  // 0: what pH and temperature say
  double hydrogen_activity = 1e-7, carbonic_acid = 0, bicarbonate_activity = 0, carbonate_activity = 0,
         calcium_activity = 0, sulfate_activity = 0;
  double citrate_free = 0, edta_free = 0, surfactant = 0;  // mol/kg
  double silica = 0;                                       // mol/kg, dissolved
  double velocity_m_s = 0;                                 // mean in the channel
  double permeation_m_s = 0;              // flux towards the membrane (holds deposits, brings solids back)
  double hydraulic_diameter_m = 0.95e-3;  // of the spacer-filled channel
  double kinematic_viscosity_m2_s = 0.893e-6;
};

/// The part of the conditions that is the liquid's: temperature, chemistry, kinematic viscosity. The flow part is left at
/// its defaults. `amounts` is a cell.
RemovalConditions liquid_conditions(std::span<const double> amounts, const Speciation& speciation);

/// Rate coefficients held over a step. removal rate of foulant f [kg/m2/s] = coefficient * share(mobile mass), where
/// share() makes the rate vanish smoothly with the last deposit.
struct RemovalCoefficients {
  FoulantAmounts dissolve{};  // kg/m2/s for a full cover (zeroth order) or 1/s (first order): see foulant.cpp
  FoulantAmounts detach{};    // 1/s
  FoulantAmounts pack{};      // 1/s, mobile -> fixed (acid on gel and slime)
};
/// A foulant of which there is nothing to remove has coefficients 0.
RemovalCoefficients removal_coefficients(const RemovalConditions& conditions, const Deposit& deposit);

/// Rates [kg/m2/s], >= 0, from coefficients and the present deposit.
struct RemovalRates {
  FoulantAmounts dissolve{}, detach{}, pack{};
};
RemovalRates removal_rates(const RemovalCoefficients& coefficients, const Deposit& deposit);
/// How much of a foulant a coefficient of dissolution acts on: the mass, or the share that is covered.
double dissolving_share(std::size_t foulant, double mobile_kg_m2);

/// Adds to `components` (per second) what dissolving `kg_s` of a foulant puts into the liquid.
void add_dissolved(Foulant foulant, double kg_s, std::span<double> components);

/// Share of the suspended solids carried to the membrane by permeation that stays on it (the rest is swept off).
double settling_share(double velocity_m_s);

// Parts of the carbonate law, for checks and for other equipment.

/// Plummer, Wigley & Parkhurst (1978) rate constants; 5 to 60 degC.
struct CalciteConstants {
  double k1_m_s, k2_m_s, k3_mol_m2_s;
  double log_solubility;  // log10 of the ion activity product at saturation (Plummer & Busenberg 1982)
};
CalciteConstants calcite_constants(double kelvin);
/// Surface reaction alone [mol/m2/s], negative when the liquid is supersaturated.
double calcite_surface_rate(const RemovalConditions& conditions);
/// Reaction in series with the supply of acid through a boundary layer whose transfer coefficient for H+ is given.
double calcite_rate(const RemovalConditions& conditions, double acid_transfer_m_s);
/// Transfer coefficient [m/s] in a spacer-filled channel (Schock & Miquel 1987) of a solute with this diffusivity.
double spacer_transfer_m_s(const RemovalConditions& conditions, double diffusivity_m2_s);
/// Transfer coefficient of acidity, reckoned on H+: that of H+ itself plus what citrate carries as its buffer.
double acid_transfer_m_s(const RemovalConditions& conditions);
double hydrogen_diffusivity_m2_s(double kelvin);

}  // namespace wetrun
