// Ion product of water, dissociation constants with their enthalpies and heat capacities, activity coefficients.
#include <cmath>
#include <map>
#include <numbers>
#include <string>

#include "models/solution/constants.h"
#include "models/solution/davies.h"
#include "models/solution/equilibria.h"
#include "models/solution/solution.h"
#include "models/verify/liquids.h"
#include "models/verify/verification.h"

namespace wetrun {
namespace {

constexpr double gas_constant_j_mol_k = 8.314462618, reference_k = 298.15;
constexpr const char* table = "dissociation_constants";
constexpr const char* formulas = "models/solution/constants.h, log10_step";

/// Ionisations by the names that the tables give them.
const std::map<std::string, Constant, std::less<>> ionisations = {
    {"cit1", k_h3cit},
    {"cit2", k_h2cit},
    {"cit3", k_hcit},
    {"pho1", k_h3po4},
    {"pho2", k_h2po4},
    {"pho3", k_hpo4},
    {"car1", k_h2co3},
    {"car2", k_hco3},
    {"nh41", k_nh4},
    {"hso41", k_hso4},
    {"citric_acid_pKa1", k_h3cit},
    {"citric_acid_pKa2", k_h2cit},
    {"citric_acid_pKa3", k_hcit},
    {"EDTA_pKa6", k_hy},
    {"EDTA_pKa5", k_h2y},
    {"EDTA_pKa4", k_h3y},
    {"EDTA_pKa3", k_h4y},
    {"EDTA_pKa2", k_h5y},
    {"phosphoric_acid_pKa1", k_h3po4},
    {"phosphoric_acid_pKa2", k_h2po4},
    {"phosphoric_acid_pKa3", k_hpo4},
    {"carbonic_acid_pKa1", k_h2co3},
    {"carbonic_acid_pKa2", k_hco3},
    {"ammonium_pKa", k_nh4},
    {"ammonium", k_nh4},
    {"hydrogen_sulfate_pKa", k_hso4},
    {"hydrogen_sulfate", k_hso4},
    {"silicic_acid_pKa1", k_h3sio4},
    {"silicic_acid_pKa2", k_h2sio4},
    {"calcium_hydroxide_ion_pair_pK", k_caoh},
    {"pK1_carb_pb", k_h2co3},
    {"pK2_carb_pb", k_hco3},
    {"pK1_harned_davis", k_h2co3},
    {"pK2_harned_scholes", k_hco3},
    {"pK1_citric_bates_pinching", k_h3cit},
    {"pK2_citric_bates_pinching", k_h2cit},
    {"pK3_citric_bates_pinching", k_hcit},
    {"pK1_phosphoric_bates", k_h3po4},
    {"pK2_phosphoric_bates", k_h2po4},
    {"pK3_citric", k_hcit},
};

/// Rows that the constants of the models disagree with, because they follow another source.
const std::map<std::string, const char*, std::less<>> other_source = {
    {"pKw_r11_24_300",
     "the models keep IAPWS R11-07, whose check value is compared; the revision of 2024 moved pKw by 0.0001"},
    {"pK_pho3_goldberg",
     "sources differ: 12.35 recalled, 12.375 read in NIST SRD 46, which the models follow and which is compared"},
    {"dH_pho3_goldberg",
     "sources differ: 16.0 kJ/mol recalled, 15.0 read in NIST SRD 46, which the models follow and which is compared"},
    {"dCp_car2_goldberg",
     "sources differ: -249 J/mol/K recalled; the function of Plummer & Busenberg (1982), which the models follow and "
     "whose pK from 0 to 60 degC are compared, bends as -290"},
    {"nist46_silicic_acid_pKa1_dH",
     "sources differ: 20 kJ/mol in NIST SRD 46, 25.6 in wateq4f (Ball & Nordstrom 1991), which the models follow"},
    {"nist46_silicic_acid_pKa2_dH",
     "sources differ: 41 kJ/mol in NIST SRD 46, 48 in wateq4f (Ball & Nordstrom 1991), which the models follow"},
    {"nist46_silicic_acid_pKa2_pK",
     "sources differ: 13.20 in NIST SRD 46, 13.17 in wateq4f (Ball & Nordstrom 1991), which the models follow; their "
     "sum with pKa1 is compared (phreeqc_silicic_acid_pKa1+pKa2)"},
};

/// -log10 of an ionisation constant; the steps of hydrolysis are kept as ionisations, the others as protonations.
double pk(Constant id, double kelvin) {
  const bool ionisation = id == k_h3sio4 || id == k_h2sio4 || id == k_caoh || id == k_water;
  return ionisation ? -log10_step(id, kelvin) : log10_step(id, kelvin);
}

/// By van 't Hoff's law [J/mol].
double ionisation_enthalpy(Constant id, double kelvin) {
  const double ln_slope = -(pk(id, kelvin + 0.5) - pk(id, kelvin - 0.5)) * std::numbers::ln10;
  return gas_constant_j_mol_k * kelvin * kelvin * ln_slope;
}

double heat_capacity_change(Constant id, double kelvin) {
  return (ionisation_enthalpy(id, kelvin + 1) - ionisation_enthalpy(id, kelvin - 1)) / 2;
}

void water(Verification& to, const PublishedValue& row) {
  constexpr const char* release = "models/water/water.h, water_pkw";
  if (std::isnan(row.tolerance))
    to.leave(row, "superseded value that is wrong by 0.075; the table lists it as a caution");
  else if (row.starts_with("pKw_r11"))
    to.compare(row, water_pkw(row.kelvin, 1000), release);
  else if (row.starts_with("pKw"))
    to.compare(row, pk(k_water, row.kelvin), release);
  else if (row.starts_with("dH"))
    to.compare(row, ionisation_enthalpy(k_water, row.kelvin),
               "models/water/water.h, water_pkw, slope with temperature");
  else
    to.compare(row, heat_capacity_change(k_water, row.kelvin),
               "models/water/water.h, water_pkw, bend with temperature");
}

/// "dH_cit1_goldberg", "nist46_EDTA_pKa6_dH", "phreeqc_ammonium", "pK1_carb_pb_25": what is asked, and of which acid.
struct Ionisation {
  char what = 'K';  // K, H (enthalpy), C (heat capacity)
  std::string name;
};
Ionisation ionisation_of(const PublishedValue& row) {
  const std::string& id = row.id;
  if (id.ends_with("_goldberg")) {
    const std::size_t from = id.find('_') + 1;
    return {row.starts_with("dH") ? 'H' : row.starts_with("dCp") ? 'C' : 'K', id.substr(from, id.rfind('_') - from)};
  }
  if (row.starts_with("nist46_")) return {id.ends_with("_dH") ? 'H' : 'K', id.substr(7, id.rfind('_') - 7)};
  if (row.starts_with("phreeqc_")) return {'K', id.substr(8)};
  return {'K', id.substr(0, id.rfind('_'))};
}

void ionisation(Verification& to, const PublishedValue& row) {
  const Ionisation asked = ionisation_of(row);
  if (row.id == "phreeqc_silicic_acid_pKa1+pKa2") {
    to.compare(row, pk(k_h3sio4, row.kelvin) + pk(k_h2sio4, row.kelvin), formulas);
    return;
  }
  const auto it = ionisations.find(asked.name);
  if (it == ionisations.end())
    to.leave(row, "the models have no boric and no phthalic acid");
  else if (asked.what == 'H')
    to.compare(row, ionisation_enthalpy(it->second, reference_k),
               "models/solution/constants.h, log10_step, slope with temperature");
  else if (asked.what == 'C')
    to.compare(row, heat_capacity_change(it->second, reference_k),
               "models/solution/constants.h, log10_step, bend with temperature");
  else
    to.compare(row, pk(it->second, row.kelvin), formulas);
}

/// Constants in a salt solution, in concentrations: pKc = pK + log g(H) + log g(base) - log g(acid).
void conditional(Verification& to, const PublishedValue& row) {
  if (std::isnan(row.tolerance)) {
    to.leave(row, "1 mol/L salt is beyond the range of the activity model, 0.5 mol/kg");
    return;
  }
  const int n = row.id[2] - '0';  // pK1: citric acid to dihydrogen citrate
  const Constant step = n == 1 ? k_h3cit : n == 2 ? k_h2cit : k_hcit;
  const double squares = 1 + n * n - (n - 1) * (n - 1);
  to.compare(row, pk(step, row.kelvin) - debye_hueckel_a(row.kelvin) * squares * davies(std::sqrt(0.1)),
             "models/solution/davies.h, davies");
}

/// "gamma_HCl_0.01", "pH_NaOH_0.2"
void strong(Verification& to, const PublishedValue& row) {
  if (std::isnan(row.tolerance)) {
    to.leave(row, "beyond the range of the activity model, 0.5 mol/kg");
    return;
  }
  const double m = std::strtod(row.id.c_str() + row.id.rfind('_') + 1, nullptr);
  const bool acid = row.id.find("HCl") != std::string::npos;
  const Speciation s =
      speciate(acid ? molal(row.kelvin, {{chloride, m}, {proton, m}}) : molal(row.kelvin, {{sodium, m}, {proton, -m}}));
  // Davies: an ion's coefficient depends on its charge alone, so that of H+ or OH- is the mean one.
  const double gamma = (acid ? s.hydrogen_activity : s.hydroxide_activity) / m;
  to.compare(row, row.starts_with("pH") ? s.ph : gamma, "models/solution/solution.h, speciate");
}

}  // namespace

void verify_dissociation_constants(Verification& to) {
  for (const PublishedValue* row : to.rows(table)) {
    if (const auto it = other_source.find(row->id); it != other_source.end())
      to.leave(*row, it->second);
    else if (row->starts_with("pKw") || row->id.find("_Kw_") != std::string::npos)
      water(to, *row);
    else if (row->id == "pKT_form")
      to.leave(*row, "a form of equation, no number; the constants that have it are compared");
    else if (row->starts_with("logKH_CO2"))
      to.compare(*row, std::log10(carbon_dioxide_henry_mol_kg_atm(row->kelvin)),
                 "models/solution/equilibria.h, carbon_dioxide_henry_mol_kg_atm");
    else if (row->id.find("conditional") != std::string::npos)
      conditional(to, *row);
    else if (row->starts_with("DH_A"))
      // Per kilogram of water: the copy gives its unit per litre, but A and B fall behind theory per litre as the root
      // of water's density does (1 % at 60 degC), and in Manov et al. (1943) they stand in the columns per weight of
      // solvent (from memory).
      to.compare(*row, debye_hueckel_a(row->kelvin), "models/water/water.h, debye_hueckel_a");
    else if (row->starts_with("DH_B"))
      to.leave(*row, "the activity model (Davies) has no term for the size of the ions");
    else if (row->id == "davies_coefficient")
      to.compare(*row, davies_linear, "models/solution/davies.h, davies");
    else if (row->starts_with("gamma_") || row->starts_with("pH_"))
      strong(to, *row);
    else
      ionisation(to, *row);
  }
}

}  // namespace wetrun
