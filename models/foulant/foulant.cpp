// Removal of six foulants from a membrane.
//
// Symbols: m mobile deposit [kg/m2], T [K], v channel velocity [m/s], J permeation [m/s], a activities [1], k rate
// constants, kL transfer coefficients [m/s], R rate [mol/m2/s], S(m) = m / (m + m_thin).
//
// Carbonate (zeroth order in a full cover)
//   R = k1' aH + k2 aH2CO3 + k3 aH2O - k4 aCa aHCO3            Plummer, Wigley & Parkhurst 1978, eqs. 5 to 9
//   k4 from microscopic reversibility, so that R = (forward part) (1 - aCa aCO3 / K)
//   1/k1' = 1/k1 + 2/kL     two H+ diffuse in for each CaCO3;  kL: acid_transfer_m_s
//   removal = exposed_carbonate * R * M * S(m) * (share not under slime)
// Sulfate: transfer of dissolved gypsum away, driven by saturation; EDTA adds its own transfer.
// Iron oxide, silica, organic gel, biofilm: first order in m, k(35 degC) with an Arrhenius factor and pH and agent
//   factors, constants in the table below. Detachment: first order, Arrhenius, (v/v_ref)^n, held by permeation.
// Acid below pH 4 on gel and slime turns mobile mass into fixed mass (it packs).
//
// Validity: 5 to 50 degC, pH 1 to 13, deposits up to 100 g/m2. Only the carbonate and gypsum solubility, the calcite
// constants and the spacer correlation are published laws; the first-order constants are trade ranges (README.md).
// Numerical notes: S(m) replaces the step at m = 0; it lowers the rate by m_thin/(m + m_thin) (half at 10 g/m2) and
// stands for the patchiness of thin scale. Powers of velocity and Arrhenius factors are products of one exponential
// each (within 1e-14). Negative m (integration round-off) counts as 0.
// Tests: tests/unit/foulant_removal_test.cpp, tests/unit/foulant_practice_test.cpp,
//   tests/reference/verify_tables_test.cpp (dissolution_solubility), tests/reference/foulant_calcite_test.cpp.
#include "models/foulant/foulant.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "engine/core/error.h"
#include "models/solution/equilibria.h"
#include "models/water/water.h"

namespace wetrun {
namespace {

constexpr double gas_constant = 8.314462618;  // J/mol/K, CODATA 2018
constexpr double warm_k = 308.15;             // 35 degC, where the trade's rate ranges stand
constexpr double cool_k = 298.15;
constexpr double per_min = 1.0 / 60.0;

// Access: the share of the membrane's area on which scale meets moving liquid. Bare rates (K06: 10 g/m2 gone in 2.4 min
// at pH 2, 25 degC) are several times the effective 0.05 to 0.2 /min seen in service; this factor is that difference.
constexpr double exposed_carbonate = 0.30;        // common practice, no source: brings pH 2, 35 degC to 0.05-0.2 /min
constexpr double exposed_sulfate_water = 0.0015;  // fitted to 0.003-0.01 /min with EDTA (common practice, no source)
constexpr double exposed_sulfate_edta = 0.012;
constexpr double thin_kg_m2 = 0.010;             // invented: scale thinner than this lies in patches
constexpr double shield_kg_m2 = 0.004;           // invented: slime that halves the access to what lies beneath
constexpr double reference_velocity_m_s = 0.20;  // about 8 m3/h through an eight-inch element
constexpr double holding_flux_m_s = 1.0e-5;      // invented: flux (36 L/m2/h) that halves detachment
constexpr double resting_shear = 0.10;           // share of what chemicals loosen that leaves at rest; invented

// First-order constants at 35 degC. Sources are ranges of common practice; see README.md.
struct FirstOrder {
  double per_s;
  int activation_kj_mol;
};
constexpr FirstOrder iron_citrate{0.030 * per_min, 50};    // 0.01-0.05 /min at pH 3, 2 % citric; E 40-60
constexpr FirstOrder iron_proton{0.006 * per_min, 50};     // at pH 2 without a chelant; invented
constexpr FirstOrder silica_caustic{0.003 * per_min, 75};  // 0.0005-0.005 /min; E 70-80
constexpr FirstOrder clay_lift{0.030 * per_min, 25};       // 0.01-0.04 /min; E 20-30
constexpr FirstOrder gel_removal{0.080 * per_min, 40};     // 0.02-0.06 /min at pH 12 with chelant; E 30-50
constexpr FirstOrder film_removal{0.038 * per_min, 50};    // 0.01-0.03 /min at pH 12 with surfactant; E 40-60
constexpr FirstOrder film_rinse{0.006 * per_min, 20};      // water alone takes about 40 % (spacer channel)
constexpr FirstOrder acid_packing{0.0010 * per_min, 40};   // invented, sized by the order-of-chemicals check
constexpr FirstOrder scale_flaking{0.0005 * per_min, 20};  // invented: loose crystals carried off by flow

double power_of_ten(double x) { return std::exp(x * std::numbers::ln10); }

constexpr double whole_power(double x, int n) {
  double product = 1;
  for (; n > 0; n >>= 1, x *= x)
    if (n & 1) product *= x;
  return product;
}

/// The exponentials that foulants share, each worked out once.
struct Factors {
  explicit Factors(const RemovalConditions& c)
      : kilojoule(std::exp(1e3 / gas_constant * (1.0 / warm_k - 1.0 / c.temperature_k))),
        speed(std::exp(0.05 * std::log(std::fabs(c.velocity_m_s) / reference_velocity_m_s))),
        hydrogen(power_of_ten(-c.ph)),
        hydroxide(c.hydroxide_activity > 0 ? c.hydroxide_activity : hydroxide_of(c)) {}
  double kilojoule;  // Arrhenius factor of 1 kJ/mol
  double speed;      // (v / v_ref)^0.05
  double hydrogen;   // 10^-pH
  double hydroxide;  // activity

  double arrhenius(const FirstOrder& law) const { return law.per_s * whole_power(kilojoule, law.activation_kj_mol); }
  /// What flow alone tears off, (v / v_ref)^(twentieths / 20): nothing at rest.
  double torn_off(int twentieths) const { return whole_power(speed, twentieths); }
  /// What a chemical has loosened comes off by flow, and a share of it falls off at rest.
  double shear(int twentieths) const { return resting_shear + (1.0 - resting_shear) * torn_off(twentieths); }

private:
  static double hydroxide_of(const RemovalConditions& c) {
    return power_of_ten(c.ph - water_pkw(c.temperature_k, water_density_kg_m3(c.temperature_k)));
  }
};

double saturating(double amount, double half) { return std::max(amount, 0.0) / (std::max(amount, 0.0) + half); }

// Hydrolysis by hydroxide: rises with strength, levels off near pH 12 at 35 degC and falls slowly beyond (an optimum
// strength is measured for protein layers; its place here, 0.3 mol/L, is from memory of those studies).
double caustic_factor(double hydroxide) {
  const double x = std::pow(hydroxide / 0.006, 0.7);
  const double beyond = hydroxide / 0.3;
  return x / (1.0 + x) / (1.0 + beyond * beyond);
}

double held_factor(double permeation_m_s) { return 1.0 / (1.0 + std::max(permeation_m_s, 0.0) / holding_flux_m_s); }

// Mean protons on citrate changes with ln aH by this much: sum over the three acid groups (pKa 3.13, 4.76, 6.40).
double citrate_buffer(double hydrogen) {
  double sum = 0;
  for (const double inverse_k : {1348.9628825916533, 57543.993733715696, 2511886.4315095823}) {  // 10^pKa
    const double r = inverse_k * hydrogen;
    sum += r / ((1.0 + r) * (1.0 + r));
  }
  return sum;
}

double slime(const Deposit& deposit) {
  return std::max(deposit.mobile[organic_gel], 0.0) + std::max(deposit.mobile[biofilm], 0.0) +
         deposit.fixed[organic_gel] + deposit.fixed[biofilm];
}

double carbonate_coefficient(const RemovalConditions& c) {
  const double rate = std::max(calcite_rate(c, acid_transfer_m_s(c)), 0.0);
  return exposed_carbonate * rate * foulant_molar_mass_kg_mol[carbonate_scale];
}

double sulfate_coefficient(const RemovalConditions& c, const Factors& shared) {
  // 15.2 mmol/kg of gypsum dissolve in pure water at 25 degC (handbook value, from memory), ion pairs included; the
  // amount scales with the root of the solubility product.
  const double k = power_of_ten(gypsum_log10_ksp(c.temperature_k));
  const double product = std::max(c.calcium_activity, 0.0) * std::max(c.sulfate_activity, 0.0);
  const double undersaturation = std::max(1.0 - std::sqrt(product / k), 0.0);
  const double soluble_mol_m3 = 15.2 * std::sqrt(k / 2.6242185433844397e-5);             // 10^-4.581
  const double warm = c.temperature_k / cool_k * 0.893e-6 / c.kinematic_viscosity_m2_s;  // Stokes-Einstein
  const double water = exposed_sulfate_water * spacer_transfer_m_s(c, 1.0e-9 * warm) * soluble_mol_m3 * undersaturation;
  // EDTA holds calcium well above pH 9: the conditional constant passes 1e8 there.
  const double awake = 1.0 / (1.0 + 316227766.01683795 * shared.hydrogen);  // 10^8.5
  const double edta = exposed_sulfate_edta * spacer_transfer_m_s(c, 6.0e-10 * warm) * 1000.0 * c.edta_free * awake;
  return (water + edta) * foulant_molar_mass_kg_mol[sulfate_scale];
}

double iron_coefficient(const RemovalConditions& c, const Factors& shared) {
  const double h = c.hydrogen_activity;
  const double stays_dissolved = saturating(h, 1e-5);  // above about pH 5 ferric iron falls out again
  const double proton = shared.arrhenius(iron_proton) * std::sqrt(h / 0.01) * stays_dissolved;
  const double citric =
      shared.arrhenius(iron_citrate) * saturating(c.citrate_free, 0.03) * stays_dissolved * saturating(h, 3e-4);
  return proton + citric;
}

double silica_coefficient(const RemovalConditions& c, const Factors& shared) {
  const double soluble = amorphous_silica_solubility_mol_kg(c.temperature_k, std::min(c.ph, 12.5));
  const double undersaturation = std::max(1.0 - c.silica / soluble, 0.0);
  return shared.arrhenius(silica_caustic) * std::min(std::sqrt(shared.hydroxide / 0.006), 3.0) * undersaturation;
}

// Calcium bridges hold gel against caustic alone; a chelant or surfactant opens it.
double gel_agents(const RemovalConditions& c) {
  return 0.12 + 0.60 * saturating(c.edta_free, 0.005) + 0.38 * saturating(c.surfactant, 3e-4);
}
double film_agents(const RemovalConditions& c) {
  return 0.30 + 0.25 * saturating(c.edta_free, 0.005) + 0.55 * saturating(c.surfactant, 3e-4);
}

}  // namespace

const std::array<FoulantInfo, foulant_count> foulant_info = {{
    {"carbonate_scale", "carbonate scale", 1.2e15, 1400, 12.0,
     "invented for the demo: 10 g/m2 takes about a tenth of the permeability; density of porous calcite"},
    {"sulfate_scale", "sulfate scale", 1.2e15, 1300, 12.0, "invented for the demo, as carbonate"},
    {"iron_oxide", "iron oxide", 2.5e15, 900, 5.0, "invented for the demo: fine gelatinous oxide, denser cover"},
    {"silicate", "silica and clay", 2.0e15, 900, 3.0,
     "invented for the demo: colloid cake, from memory 1e14-1e16 m/kg"},
    {"organic_gel", "organic gel", 6.0e15, 150, -2.0,
     "invented for the demo: thin tight gel, from memory 1e15-1e16 m/kg; rejection normal or better"},
    {"biofilm", "biofilm", 2.0e15, 80, 2.0, "invented for the demo: wet slime of 8 % dry mass, fills the channel"},
}};

DepositEffect deposit_effect(std::span<const double, foulant_count> mobile,
                             std::span<const double, foulant_count> fixed) {
  DepositEffect sum;
  for (std::size_t f = 0; f < foulant_count; ++f) {
    const double kg_m2 = std::max(mobile[f], 0.0) + fixed[f];
    if (kg_m2 == 0) continue;
    sum.resistance_1_m += foulant_info[f].specific_resistance * kg_m2;
    sum.thickness_m += kg_m2 / foulant_info[f].layer_density_kg_m3;
    sum.salt_passage += foulant_info[f].salt_passage_per_kg_m2 * kg_m2;
  }
  return sum;
}

CalciteConstants calcite_constants(double kelvin) {
  const double t = kelvin;
  const double log_k3 = t <= 298.15 ? -5.86 - 317.0 / t : -1.10 - 1737.0 / t;
  return {0.01 * power_of_ten(0.198 - 444.0 / t), 0.01 * power_of_ten(2.84 - 2177.0 / t), 10.0 * power_of_ten(log_k3),
          calcite_log10_ksp(t)};
}

namespace {
double calcite_with(const RemovalConditions& c, const CalciteConstants& k, double k1_m_s) {
  const double forward = 1000.0 * (k1_m_s * c.hydrogen_activity + k.k2_m_s * c.carbonic_acid) + k.k3_mol_m2_s;
  const double saturation = c.calcium_activity * c.carbonate_activity * power_of_ten(-k.log_solubility);
  return forward * (1.0 - saturation);
}
}  // namespace

double calcite_surface_rate(const RemovalConditions& c) {
  const CalciteConstants k = calcite_constants(c.temperature_k);
  return calcite_with(c, k, k.k1_m_s);
}

double calcite_rate(const RemovalConditions& c, double acid_transfer) {
  const CalciteConstants k = calcite_constants(c.temperature_k);
  return calcite_with(c, k, 1.0 / (1.0 / k.k1_m_s + 2.0 / acid_transfer));
}

double spacer_transfer_m_s(const RemovalConditions& c, double diffusivity_m2_s) {
  const double reynolds = std::fabs(c.velocity_m_s) * c.hydraulic_diameter_m / c.kinematic_viscosity_m2_s;
  const double schmidt = c.kinematic_viscosity_m2_s / diffusivity_m2_s;
  const double eighth = std::sqrt(std::sqrt(std::sqrt(reynolds)));
  const double flowing = 0.065 * whole_power(eighth, 7) * std::sqrt(std::sqrt(schmidt));
  // Floor 2: diffusion over half a channel at rest. The cube blend is within 4 % of the larger from twice the other up.
  const double sherwood = std::cbrt(flowing * flowing * flowing + 8.0);
  return sherwood * diffusivity_m2_s / c.hydraulic_diameter_m;
}

double hydrogen_diffusivity_m2_s(double kelvin) {
  // 9.31e-9 m2/s at 25 degC and 12 kJ/mol, both from the limiting conductance of H+ (350 and 441 S cm2/mol at 25 and
  // 45 degC, handbook values from memory) by the Nernst-Einstein relation.
  return 9.31e-9 * std::exp(12e3 / gas_constant * (1.0 / cool_k - 1.0 / kelvin));
}

double acid_transfer_m_s(const RemovalConditions& c) {
  const double h = std::max(c.hydrogen_activity, 1e-14);
  const double alone = spacer_transfer_m_s(c, hydrogen_diffusivity_m2_s(c.temperature_k));
  const double buffered = c.citrate_free * citrate_buffer(power_of_ten(-c.ph)) / h;
  if (buffered <= 0) return alone;
  const double warm = c.temperature_k / cool_k * 0.893e-6 / c.kinematic_viscosity_m2_s;
  return alone + spacer_transfer_m_s(c, 6.9e-10 * warm) * buffered;  // citric acid 0.69e-9 m2/s, from memory
}

RemovalConditions liquid_conditions(std::span<const double> amounts, const Speciation& s) {
  const double kelvin = temperature_k(amounts.data()), density = water_density_kg_m3(kelvin);
  const double water_kg = amounts[volume_m3] * density;
  RemovalConditions c;
  c.temperature_k = kelvin;
  c.ph = s.ph;
  c.hydrogen_activity = s.hydrogen_activity;
  c.hydroxide_activity = s.hydroxide_activity;
  c.carbonic_acid = s.carbonic_acid;
  c.bicarbonate_activity = s.bicarbonate_activity;
  c.carbonate_activity = s.carbonate_activity;
  c.calcium_activity = s.calcium_activity;
  c.sulfate_activity = s.sulfate_activity;
  c.citrate_free = s.citrate_free;
  c.edta_free = s.edta_free;
  c.surfactant = std::max(amounts[surfactant], 0.0) / water_kg;
  c.silica = std::max(amounts[silica], 0.0) / water_kg;
  c.kinematic_viscosity_m2_s = water_viscosity_pa_s(kelvin) / density;
  return c;
}

namespace {

/// Gel and slime: hydrolysed by caustic, torn off by flow, packed by acid.
void slime_coefficients(const RemovalConditions& c, const Deposit& deposit, const Factors& shared, double caustic,
                        double held, RemovalCoefficients& out) {
  const double packing =  // a tenth at pH 4, whole at pH 3: 1 / (1 + 10^(3 (pH - 3.7)))
      shared.arrhenius(acid_packing) / (1.0 + 7.943282347242822e-12 / whole_power(shared.hydrogen, 3));
  if (deposit.mobile[organic_gel] > 0) {
    const double gel = shared.arrhenius(gel_removal) * caustic * gel_agents(c);
    out.dissolve[organic_gel] = 0.6 * gel;  // split between dissolved and lifted: invented
    out.detach[organic_gel] = 0.4 * gel * shared.shear(8) * held;
    out.pack[organic_gel] = packing;
  }
  if (deposit.mobile[biofilm] > 0) {
    const double film = shared.arrhenius(film_removal) * caustic * film_agents(c);
    out.dissolve[biofilm] = 0.3 * film;
    out.detach[biofilm] = (0.7 * film * shared.shear(15) + shared.arrhenius(film_rinse) * shared.torn_off(15)) * held;
    out.pack[biofilm] = packing;
  }
}

}  // namespace

RemovalCoefficients removal_coefficients(const RemovalConditions& c, const Deposit& deposit) {
  RemovalCoefficients out;
  const auto there = [&](Foulant f) { return deposit.mobile[f] > 0; };
  const bool clay_there = there(silicate), slime_there = there(organic_gel) || there(biofilm);
  if (!(there(carbonate_scale) || there(sulfate_scale) || there(iron_oxide) || clay_there || slime_there)) return out;
  const Factors shared(c);
  const double shielded = shield_kg_m2 / (shield_kg_m2 + slime(deposit));
  const double held = held_factor(c.permeation_m_s);
  const double caustic = clay_there || slime_there ? caustic_factor(shared.hydroxide) : 0;
  const double flaking = shared.arrhenius(scale_flaking) * shared.torn_off(16) * held * shielded;
  if (there(carbonate_scale)) {
    out.dissolve[carbonate_scale] = shielded * carbonate_coefficient(c);
    out.detach[carbonate_scale] = flaking;
  }
  if (there(sulfate_scale)) {
    out.dissolve[sulfate_scale] = shielded * sulfate_coefficient(c, shared);
    out.detach[sulfate_scale] = flaking;
  }
  if (there(iron_oxide)) {
    out.dissolve[iron_oxide] = shielded * iron_coefficient(c, shared);
    out.detach[iron_oxide] = flaking + 0.3 * out.dissolve[iron_oxide] * shared.shear(6) * held;
  }
  if (clay_there) {
    out.dissolve[silicate] = shielded * silica_coefficient(c, shared);
    const double lifted = (0.55 + 0.30 * saturating(c.surfactant, 3e-4)) * caustic * shared.shear(24);
    out.detach[silicate] = shared.arrhenius(clay_lift) * (0.15 * shared.torn_off(24) + lifted) * held * shielded;
  }
  if (slime_there) slime_coefficients(c, deposit, shared, caustic, held, out);
  return out;
}

double dissolving_share(std::size_t foulant, double mobile_kg_m2) {
  const double m = std::max(mobile_kg_m2, 0.0);
  const bool cover = foulant == carbonate_scale || foulant == sulfate_scale;
  return cover ? m / (m + thin_kg_m2) : m;
}

RemovalRates removal_rates(const RemovalCoefficients& k, const Deposit& deposit) {
  RemovalRates out;
  for (std::size_t f = 0; f < foulant_count; ++f) {
    const double m = std::max(deposit.mobile[f], 0.0);
    out.dissolve[f] = k.dissolve[f] * dissolving_share(f, m);
    out.detach[f] = k.detach[f] * m;
    out.pack[f] = k.pack[f] * m;
  }
  return out;
}

void add_dissolved(Foulant foulant, double kg_s, std::span<double> components) {
  if (kg_s == 0) return;
  const double mass = foulant_molar_mass_kg_mol[foulant];
  const double mol_s = mass > 0 ? kg_s / mass : 0.0;
  switch (foulant) {
    case carbonate_scale:
      components[calcium] += mol_s;
      components[carbonate] += mol_s;
      return;
    case sulfate_scale:
      components[calcium] += mol_s;
      components[sulfate] += mol_s;
      return;
    case iron_oxide:  // FeOOH + 3 H+ = Fe(3+) + 2 H2O
      components[iron] += mol_s;
      components[proton] -= 3.0 * mol_s;
      return;
    case silicate:
      components[silica] += mol_s;
      return;
    case organic_gel:
    case biofilm:
      components[organic] += kg_s;
      return;
  }
  stop_for_bug(__FILE__, __LINE__, "a foulant of the list");
}

double settling_share(double velocity_m_s) {
  // Invented for the demo: nearly all stays at rest, about a third at cleaning flow (spacer channels sweep).
  const double v = velocity_m_s / 0.15;
  return 0.9 / (1.0 + v * v);
}

}  // namespace wetrun
