// Heats of solution and densities of the chemicals against published values.
#include <cmath>

#include "models/solution/chemicals.h"
#include "models/solution/properties.h"
#include "tests/support/liquids.h"
#include "tests/support/reference_rows.h"

namespace wetrun {
namespace {

using test::molar;
using test::reference_rows;
using test::ReferenceRow;

ReferenceRow row(const std::string& id) {
  for (const ReferenceRow& r : reference_rows("solution_heats_densities.csv"))
    if (r.id == id) return r;
  ADD_FAILURE() << id;
  return {};
}

// Heat released per mol of a component brought.
double heat_j_mol(const char* name, Component c) {
  const Amounts& a = find_chemical(name).per_kg;
  return a[heat_j] / a[c];
}

TEST(SolutionHeats, OfSolution) {
  const ReferenceRow caustic = row("dHsol_NaOH(c)"), citric = row("dHsol_citric_mono");
  EXPECT_NEAR(heat_j_mol("sodium_hydroxide", sodium), -caustic.value, caustic.allowed()) << caustic.label();
  EXPECT_NEAR(heat_j_mol("citric_acid_monohydrate", citrate), -citric.value, citric.allowed()) << citric.label();
}

// Between the integral heats at 5 and 3 mol water per mol HCl lies the 4.3 of 32 %.
TEST(SolutionHeats, OfDilution) {
  const double infinite = row("intdH_HCl_inf").value;
  const double heat = heat_j_mol("hydrochloric_acid_32", chloride);
  EXPECT_GT(heat, row("intdH_HCl_5").value - infinite);
  EXPECT_LT(heat, row("intdH_HCl_3").value - infinite);
  // NaOH at 2.22 mol water per mol: more than from 3 mol, less than the whole heat of solution of the solid.
  const double caustic = heat_j_mol("sodium_hydroxide_50", sodium);
  EXPECT_GT(caustic, row("intdH_NaOH_3").value - row("intdH_NaOH_inf").value);
  EXPECT_LT(caustic, heat_j_mol("sodium_hydroxide", sodium));
  // 45 % from the solid releases 333 kJ per kg of solution; what is left to infinite dilution from 2.71 mol water per
  // mol must agree with the extrapolation used for 50 % (2.22) within the 15 % it claims.
  const ReferenceRow r = row("svn_naoh_dissolve");
  const double left = 44510 + r.value / (0.45 / 0.039997);
  EXPECT_GT(caustic, left);
  EXPECT_LT(caustic, left + 44510 * 0.2);
}

// Density of solutions given by mass fraction or molality: c follows from the measured density.
TEST(SolutionHeats, DensityOfCausticAndCitricAcid) {
  int checked = 0;
  for (const ReferenceRow& r : reference_rows("solution_heats_densities.csv", "rho_")) {
    const bool citric = r.id.find("citric") != std::string::npos;
    const double molar_mass = citric ? 0.192124 : 0.039997;
    double fraction;
    if (r.id.find("_w") != std::string::npos) {
      fraction = std::strtod(r.id.c_str() + r.id.find("_w") + 2, nullptr) / 100;
    } else {
      const double m = std::strtod(r.id.c_str() + r.id.find("_m") + 2, nullptr);
      fraction = m * molar_mass / (1 + m * molar_mass);
    }
    const double c = fraction * r.value / molar_mass / 1000;  // mol/L
    const Amounts a =
        citric ? molar(r.kelvin, {{citrate, c}, {proton, 3 * c}}) : molar(r.kelvin, {{sodium, c}, {proton, -c}});
    // Up to 10 % by mass the published tolerance holds; beyond, the 2 % that properties.h admits.
    const double allowed = fraction <= 0.1001 ? r.allowed() : 0.02 * r.value;
    EXPECT_NEAR(density_kg_m3(a.data()), r.value, allowed) << r.label();
    ++checked;
  }
  EXPECT_GE(checked, 40);
}

// Densities as delivered, common practice: 32 % HCl 1159, 25 % ammonia 907 kg/m3 at 20 degC.
TEST(SolutionHeats, DensityAsDelivered) {
  const auto mixed = [](const char* name) {
    const Amounts a = chemical_amounts(find_chemical(name), 1.0, 293.15);
    Amounts isothermal = a;
    isothermal[heat_j] = heat_of(a[volume_m3], 293.15);
    return density_kg_m3(isothermal.data());
  };
  EXPECT_NEAR(mixed("hydrochloric_acid_32"), 1159, 0.02 * 1159);
  EXPECT_NEAR(mixed("ammonia_25"), 907, 0.02 * 907);
}

TEST(SolutionHeats, ViscosityOfCitricAcid) {
  const ReferenceRow r = row("mu_citric_w10");
  const double c = 0.10 * 1040.2 / 192.124;
  EXPECT_NEAR(viscosity_pa_s(molar(r.kelvin, {{citrate, c}, {proton, 3 * c}}).data()), r.value, r.allowed())
      << r.label();
}

}  // namespace
}  // namespace wetrun
