// Heats of solution of the chemicals; density and viscosity of caustic and citric acid.
#include <cmath>
#include <numbers>
#include <string>

#include "models/solution/chemicals.h"
#include "models/solution/properties.h"
#include "models/verify/liquids.h"
#include "models/verify/verification.h"

namespace wetrun {
namespace {

/// Why a heat is not compared.
std::string reason(const PublishedValue& row) {
  if (row.id == "intdH_NaOH_inf")
    return "sources differ: -42.89 kJ/mol in tables after NBS Circular 500, -44.51 in Parker (1965), which the models "
           "follow and which is compared";
  if (row.id == "svn_naoh_dissolve")
    return "heat of making 45 % caustic; the models reckon the heat of solid caustic on to dilution without end";
  if (row.id.find("citric") != std::string::npos)
    return "the models have the monohydrate of citric acid only, which is compared";
  if (row.starts_with("dHsol_")) return "not a chemical of the models";
  return "the models have one heat of dilution each for 32 % hydrochloric acid (4.3 mol water per mol) and 50 % "
         "caustic (2.2), not its course with concentration";
}

/// Enthalpy of solution per mol of a component brought [J/mol]: what the chemical does not release.
double enthalpy_of_solution(const char* chemical, Component brought) {
  const Amounts& per_kg = find_chemical(chemical).per_kg;
  return -per_kg[heat_j] / per_kg[brought];
}

/// H+ + OH- = H2O by van 't Hoff's law from the ion product [J/mol].
double neutralisation_enthalpy(double kelvin) {
  constexpr double gas_constant_j_mol_k = 8.314462618;
  const auto pkw = [](double t) { return water_pkw(t, water_density_exact_kg_m3(t)); };
  return gas_constant_j_mol_k * kelvin * kelvin * (pkw(kelvin + 0.5) - pkw(kelvin - 0.5)) * std::numbers::ln10;
}

/// Mass fraction of the solute: "rho_NaOH_w20", "rho_NaOH_m0.5_25" (mol/kg water, degC), "mu_citric_w10".
double mass_fraction(const PublishedValue& row, double molar_mass) {
  if (const std::size_t w = row.id.find("_w"); w != std::string::npos)
    return std::strtod(row.id.c_str() + w + 2, nullptr) / 100;
  const double molality = std::strtod(row.id.c_str() + row.id.find("_m") + 2, nullptr);
  return molality * molar_mass / (1 + molality * molar_mass);
}

/// A litre of the solution of a row: the concentration follows from the mass fraction and the density computed here.
Amounts solution(const PublishedValue& row, bool citric, double fraction, double molar_mass) {
  Amounts a{};
  double density = 1000;
  for (int i = 0; i < 60; ++i) {
    const double c = fraction * density / molar_mass / 1000;  // mol/L
    a = citric ? molar(row.kelvin, {{citrate, c}, {proton, 3 * c}}) : molar(row.kelvin, {{sodium, c}, {proton, -c}});
    density = density_kg_m3(a.data());
  }
  return a;
}

void property(Verification& to, const PublishedValue& row) {
  const bool citric = row.id.find("citric") != std::string::npos;
  const double molar_mass = citric ? 0.192124 : 0.039997;
  const double fraction = mass_fraction(row, molar_mass);
  const Amounts a = solution(row, citric, fraction, molar_mass);
  if (row.starts_with("mu"))
    to.compare(row, viscosity_pa_s(a.data()), "models/solution/properties.h, viscosity_pa_s");
  else
    to.compare(row, density_kg_m3(a.data()), "models/solution/properties.h, density_kg_m3");
}

}  // namespace

void verify_solution_heats_densities(Verification& to) {
  for (const PublishedValue* row : to.rows("solution_heats_densities")) {
    if (row->starts_with("rho_") || row->starts_with("mu_"))
      property(to, *row);
    else if (row->id == "dHsol_NaOH(c)")
      to.compare(*row, enthalpy_of_solution("sodium_hydroxide", sodium),
                 "models/solution/chemicals.h, sodium_hydroxide");
    else if (row->id == "dHsol_citric_mono")
      to.compare(*row, enthalpy_of_solution("citric_acid_monohydrate", citrate),
                 "models/solution/chemicals.h, citric_acid_monohydrate");
    else if (row->id == "dH_neutralisation")
      to.compare(*row, neutralisation_enthalpy(row->kelvin), "models/water/water.h, water_pkw, slope with temperature");
    else
      to.leave(*row, reason(*row));
  }
}

}  // namespace wetrun
