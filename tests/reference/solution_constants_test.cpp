// Equilibrium constants against the literature.
#include <cmath>
#include <map>
#include <numbers>
#include <string>

#include "models/solution/constants.h"
#include "models/solution/equilibria.h"
#include "models/water/water.h"
#include "tests/support/reference_rows.h"

namespace wetrun {
namespace {

using test::reference_rows;
using test::ReferenceRow;

// Ionisations as the tables name them -> the protonation step of the model.
const std::map<std::string, Constant> acids = {
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
    {"hydrogen_sulfate_pKa", k_hso4},
    {"hydrogen_sulfate", k_hso4},
    {"ammonium", k_nh4},
};

// log10 of the ionisation constant's negative; silicic acid and CaOH+ are kept as hydrolysis steps.
double pk(Constant id, double kelvin) {
  const bool hydrolysis = id == k_h3sio4 || id == k_h2sio4 || id == k_caoh || id == k_water;
  return hydrolysis ? -log10_step(id, kelvin) : log10_step(id, kelvin);
}

double ionisation_enthalpy(Constant id, double kelvin) {
  const double ln_slope = -(pk(id, kelvin + 0.5) - pk(id, kelvin - 0.5)) * std::numbers::ln10;
  return 8.314462618 * kelvin * kelvin * ln_slope;
}

double heat_capacity_change(Constant id, double kelvin) {
  return (ionisation_enthalpy(id, kelvin + 1) - ionisation_enthalpy(id, kelvin - 1)) / 2;
}

TEST(SolutionConstants, TableStandsInTheOrderOfTheEnum) {
  for (std::size_t i = 0; i < constant_count; ++i) {
    EXPECT_EQ(constant_info[i].id, i) << constant_info[i].step;
    EXPECT_TRUE(constant_info[i].base == constant_count || constant_info[i].base < i) << constant_info[i].step;
    EXPECT_FALSE(constant_info[i].source.empty());
  }
}

TEST(SolutionConstants, IonProductOfWater) {
  for (const ReferenceRow& r : reference_rows("dissociation_constants.csv", "pKw_")) {
    const bool at_density = r.starts_with("pKw_r11");
    // R11-24 revised the release by 1e-4 at its verification point; the model keeps R11-07.
    const double allowed = r.starts_with("pKw_r11_24") ? 2e-4 : r.allowed();
    const double value = at_density ? water_pkw(r.kelvin, 1000.0) : pk(k_water, r.kelvin);
    EXPECT_NEAR(value, r.value, allowed) << r.label();
  }
  for (const ReferenceRow& r : reference_rows("dissociation_constants.csv", "dH_Kw"))
    EXPECT_NEAR(ionisation_enthalpy(k_water, r.kelvin), r.value, r.allowed()) << r.label();
  for (const ReferenceRow& r : reference_rows("dissociation_constants.csv", "dCp_Kw"))
    EXPECT_NEAR(heat_capacity_change(k_water, r.kelvin), r.value, r.allowed()) << r.label();
}

// Rows on which the sources disagree by more than the tolerance; the model follows the other source.
bool other_source(const std::string& id) {
  return id == "pK_pho3_goldberg" ||
         id == "dH_pho3_goldberg" ||           // 12.35 and 16.0 kJ/mol recalled; NIST SRD 46 read: 12.375, 15.0
         id == "dCp_car2_goldberg" ||          // -249 recalled; Plummer & Busenberg's function bends as -290 J/mol/K
         id == "nist46_silicic_acid_pKa2_pK";  // 13.20 against wateq4f's 23.0 - 9.83 = 13.17
}

TEST(SolutionConstants, TabulatedConstantsEnthalpiesAndHeatCapacities) {
  int checked = 0;
  for (const ReferenceRow& r : reference_rows("dissociation_constants.csv")) {
    std::string name;
    char what = 'K';
    if (r.id.find("_goldberg") != std::string::npos) {
      what = r.starts_with("dH") ? 'H' : r.starts_with("dCp") ? 'C' : 'K';
      name = r.id.substr(r.id.find('_') + 1);
      name = name.substr(0, name.find('_'));
    } else if (r.starts_with("nist46_")) {
      what = r.id.ends_with("_dH") ? 'H' : 'K';
      name = r.id.substr(7, r.id.rfind('_') - 7);
    } else if (r.starts_with("phreeqc_")) {
      name = r.id.substr(8);
    }
    const auto it = acids.find(name);
    if (it == acids.end() || other_source(r.id)) continue;
    const double value = what == 'H'   ? ionisation_enthalpy(it->second, 298.15)
                         : what == 'C' ? heat_capacity_change(it->second, 298.15)
                                       : pk(it->second, r.kelvin);
    EXPECT_NEAR(value, r.value, r.allowed()) << r.label();
    ++checked;
  }
  EXPECT_GE(checked, 55);
}

TEST(SolutionConstants, HydrolysisAndSilicicAcid) {
  for (const ReferenceRow& r : reference_rows("dissociation_constants.csv")) {
    double value = NAN;
    if (r.id == "nist46_silicic_acid_pKa1_pK" || r.id == "phreeqc_silicic_acid_pKa1") value = pk(k_h3sio4, 298.15);
    if (r.id == "nist46_silicic_acid_pKa2_pK") value = pk(k_h2sio4, 298.15);
    if (r.id == "phreeqc_silicic_acid_pKa1+pKa2") value = pk(k_h3sio4, 298.15) + pk(k_h2sio4, 298.15);
    if (r.id.find("calcium_hydroxide") != std::string::npos && r.id.ends_with("pK_pK")) value = pk(k_caoh, 298.15);
    if (std::isnan(value) || other_source(r.id)) continue;
    EXPECT_NEAR(value, r.value, r.allowed()) << r.label();
  }
}

TEST(SolutionConstants, SeriesAgainstTemperature) {
  const std::map<std::string, Constant> series = {
      {"pK1_carb", k_h2co3},        {"pK2_carb", k_hco3},          {"pK1_harned", k_h2co3},
      {"pK2_harned", k_hco3},       {"pK1_citric_bates", k_h3cit}, {"pK2_citric_bates", k_h2cit},
      {"pK3_citric_bates", k_hcit}, {"pK1_phosphoric", k_h3po4},   {"pK2_phosphoric", k_h2po4}};
  for (const auto& [prefix, id] : series)
    for (const ReferenceRow& r : reference_rows("dissociation_constants.csv", prefix))
      EXPECT_NEAR(pk(id, r.kelvin), r.value, r.allowed()) << r.label();
  for (const ReferenceRow& r : reference_rows("dissociation_constants.csv", "logKH"))
    EXPECT_NEAR(std::log10(carbon_dioxide_henry_mol_kg_atm(r.kelvin)), r.value, r.allowed()) << r.label();
}

// Conditional constants in 0.1 mol/L NaClO4: pKc = pK + log g(H) + log g(base) - log g(acid), Davies.
TEST(SolutionConstants, CitricAcidInSalt) {
  for (const ReferenceRow& r : reference_rows("dissociation_constants.csv")) {
    const bool salt = r.id.find("citric_conditional_T41") != std::string::npos ||
                      r.id.find("citric_conditional_C9") != std::string::npos;
    if (!salt) continue;
    const int n = r.id[2] - '0';  // pK1: citric acid to dihydrogen citrate
    const Constant id = n == 1 ? k_h3cit : n == 2 ? k_h2cit : k_hcit;
    const double root = std::sqrt(0.1), f = root / (1 + root) - 0.3 * 0.1, a = debye_hueckel_a(r.kelvin);
    const double squares = 1 + n * n - (n - 1) * (n - 1);
    EXPECT_NEAR(pk(id, r.kelvin) - a * squares * f, r.value, r.allowed()) << r.label();
  }
}

TEST(SolutionConstants, DebyeHueckelSlope) {
  for (const ReferenceRow& r : reference_rows("dissociation_constants.csv", "DH_A")) {
    // Per kilogram: the table's own unit is per litre, but it rests on an older dielectric constant and agrees with the
    // per-kilogram value (0.3 % to 0.45 %) rather than the per-litre one (0.4 % to 1.3 %).
    EXPECT_NEAR(debye_hueckel_a(r.kelvin), r.value, r.allowed()) << r.label();
  }
}

// Chlorine hydrolysis, mol2/L2: 2.2e-4, 3.2e-4, 4.4e-4 at 10, 20, 30 degC, rounded to two figures (registration dossier
// of chlorine, dissociation constant, European Chemicals Agency); 3.94e-4 at 25 degC (Connick & Chia 1959, from
// memory).
TEST(SolutionConstants, ChlorineHydrolysis) {
  const auto k = [](double kelvin) { return std::pow(10.0, -log10_step(k_cl2, kelvin)); };
  EXPECT_NEAR(k(283.15), 2.2e-4, 0.25e-4);
  EXPECT_NEAR(k(293.15), 3.2e-4, 0.25e-4);
  EXPECT_NEAR(k(303.15), 4.4e-4, 0.25e-4);
  EXPECT_NEAR(k(298.15), 3.94e-4, 0.02e-4);
  // HOCl: 2.7e-8, 3.5e-8, 4.3e-8 in the same dossier spread 0.1 in pK against Morris 1966.
  EXPECT_NEAR(pk(k_hocl, 293.15), 7.58, 0.15);
}

TEST(SolutionConstants, TableFollowsTheFormulas) {
  for (double kelvin = 273.3; kelvin < 373; kelvin += 1.7) {
    ConstantSet set;
    read_constants(kelvin, set);
    for (std::size_t i = 0; i < constant_count; ++i) {
      const auto id = static_cast<Constant>(i);
      const bool steep = id >= k_feoh && id <= k_feoh4;
      EXPECT_NEAR(std::log10(set[id]), log10_constant(id, kelvin), steep ? 3e-6 : 4e-7)
          << constant_info[i].step << " " << kelvin;
    }
    EXPECT_NEAR(set.density_kg_m3(), water_density_exact_kg_m3(kelvin), 1e-4);
    EXPECT_NEAR(set.davies_slope(), debye_hueckel_a(kelvin) * std::numbers::ln10, 1e-7);
  }
}

}  // namespace
}  // namespace wetrun
