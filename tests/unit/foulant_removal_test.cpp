// The shape of the removal laws: signs, limits, exact stoichiometry, nothing below zero.
#include <gtest/gtest.h>

#include <cmath>

#include "models/foulant/foulant.h"

namespace wetrun {
namespace {

RemovalConditions at(double ph) {
  RemovalConditions c;
  c.ph = ph;
  c.hydrogen_activity = std::pow(10.0, -ph);
  c.velocity_m_s = 0.2;
  return c;
}

TEST(FoulantRemoval, DissolvingKeepsEveryInvariant) {
  for (std::size_t f = 0; f < foulant_count; ++f) {
    Amounts change{};
    change[first_solid + f] = -0.37;
    add_dissolved(static_cast<Foulant>(f), 0.37, change);
    for (const Invariant& invariant : invariants) {
      double sum = 0;
      for (std::size_t j = 0; j < component_count; ++j) sum += invariant.weight[j] * change[j];
      EXPECT_NEAR(sum, 0, 1e-12) << foulant_info[f].name << " " << invariant.name;
    }
  }
}

TEST(FoulantRemoval, RatesAreNeverNegativeAndVanishWithTheDeposit) {
  Deposit none, below;
  below.mobile.fill(-1e-9);
  for (double ph = 0; ph <= 14; ph += 0.5) {
    RemovalConditions c = at(ph);
    c.calcium_activity = 0.01;
    c.carbonate_activity = 0.01;  // far above saturation: no precipitation by this law
    c.sulfate_activity = 0.1;
    c.silica = 1;
    for (const Deposit& d : {none, below}) {
      const RemovalRates r = removal_rates(removal_coefficients(c, d), d);
      for (std::size_t f = 0; f < foulant_count; ++f) {
        EXPECT_EQ(r.dissolve[f], 0);
        EXPECT_EQ(r.detach[f], 0);
        EXPECT_EQ(r.pack[f], 0);
      }
    }
    const RemovalCoefficients k = removal_coefficients(c, none);
    for (std::size_t f = 0; f < foulant_count; ++f) {
      EXPECT_GE(k.dissolve[f], 0);
      EXPECT_GE(k.detach[f], 0);
      EXPECT_TRUE(std::isfinite(k.dissolve[f] + k.detach[f] + k.pack[f]));
    }
  }
}

TEST(FoulantRemoval, FixedShareIsOutOfReach) {
  Deposit d;
  d.fixed.fill(0.01);
  const RemovalRates r = removal_rates(removal_coefficients(at(2), d), d);
  for (std::size_t f = 0; f < foulant_count; ++f) EXPECT_EQ(r.dissolve[f] + r.detach[f] + r.pack[f], 0);
}

TEST(FoulantRemoval, SlimeShieldsScaleBeneath) {
  Deposit bare, covered;
  bare.mobile[carbonate_scale] = covered.mobile[carbonate_scale] = 0.01;
  covered.mobile[biofilm] = 0.01;
  EXPECT_LT(removal_coefficients(at(2), covered).dissolve[carbonate_scale],
            0.5 * removal_coefficients(at(2), bare).dissolve[carbonate_scale]);
}

TEST(FoulantRemoval, AcidPacksSlimeAndCausticDoesNot) {
  Deposit d;
  d.mobile[biofilm] = 0.01;
  EXPECT_GT(removal_coefficients(at(2.5), d).pack[biofilm], 100 * removal_coefficients(at(5), d).pack[biofilm]);
  EXPECT_LT(removal_coefficients(at(11), d).pack[biofilm], 1e-20);
  EXPECT_EQ(removal_coefficients(at(2), d).pack[carbonate_scale], 0);
}

TEST(FoulantRemoval, FlowHelpsAndPermeationHolds) {
  Deposit d;
  d.mobile.fill(0.005);
  RemovalConditions slow = at(12), fast = at(12), pulled = at(12);
  slow.velocity_m_s = 0.05;
  pulled.permeation_m_s = 1e-5;
  const auto k_slow = removal_coefficients(slow, d), k_fast = removal_coefficients(fast, d),
             k_pulled = removal_coefficients(pulled, d);
  for (std::size_t f = 0; f < foulant_count; ++f) {
    EXPECT_LT(k_slow.detach[f], k_fast.detach[f]) << f;
    EXPECT_LT(k_pulled.detach[f], k_fast.detach[f]) << f;
  }
  EXPECT_LT(settling_share(0.2), settling_share(0.05));
  EXPECT_LE(settling_share(0.0), 1.0);
}

TEST(FoulantRemoval, EdtaLiftsGypsumOnlyWhenAlkaline) {
  Deposit d;
  d.mobile[sulfate_scale] = 0.01;
  RemovalConditions none = at(11), with = at(11), acid = at(4);
  with.edta_free = acid.edta_free = 0.026;
  EXPECT_GT(removal_coefficients(with, d).dissolve[sulfate_scale],
            4 * removal_coefficients(none, d).dissolve[sulfate_scale]);
  EXPECT_NEAR(
      removal_coefficients(acid, d).dissolve[sulfate_scale] / removal_coefficients(none, d).dissolve[sulfate_scale],
      1.0, 0.05);
}

TEST(FoulantRemoval, GypsumStopsAtSaturation) {
  RemovalConditions c = at(7);
  c.calcium_activity = c.sulfate_activity = std::pow(10.0, -4.581 / 2);  // log K of gypsum at 25 degC, WATEQ4F
  Deposit d;
  d.mobile[sulfate_scale] = 0.01;
  const double fresh = removal_coefficients(at(7), d).dissolve[sulfate_scale];
  EXPECT_LT(removal_coefficients(c, d).dissolve[sulfate_scale], 1e-3 * fresh);
}

TEST(FoulantRemoval, CitrateCarriesAcidToTheScale) {
  RemovalConditions plain = at(3), buffered = at(3);
  buffered.citrate_free = 0.1;
  EXPECT_GT(acid_transfer_m_s(buffered), 2 * acid_transfer_m_s(plain));
}

TEST(FoulantRemoval, ResistanceAndThicknessAddUp) {
  Deposit d;
  d.mobile[carbonate_scale] = 0.007;
  d.fixed[carbonate_scale] = 0.003;
  EXPECT_NEAR(deposit_resistance(d), 0.010 * foulant_info[carbonate_scale].specific_resistance, 1);
  EXPECT_NEAR(deposit_thickness(d), 0.010 / foulant_info[carbonate_scale].layer_density_kg_m3, 1e-15);
}

TEST(FoulantRemoval, StillNeutralWaterTakesNothingOff) {
  // Flakes, clay and slime are torn off by flow; only what a chemical has loosened falls off at rest.
  Deposit deposit;
  deposit.mobile.fill(0.005);
  RemovalConditions c = at(7);
  c.velocity_m_s = 0;
  const RemovalCoefficients still = removal_coefficients(c, deposit);
  for (const Foulant f : {carbonate_scale, sulfate_scale, silicate, biofilm})
    EXPECT_LT(still.detach[f], 1e-8) << f;  // below a thousandth in a day
  c = at(12);
  c.velocity_m_s = 0;
  c.surfactant = 1e-3;
  const RemovalCoefficients soaked = removal_coefficients(c, deposit);
  for (const Foulant f : {silicate, organic_gel, biofilm}) EXPECT_GT(soaked.detach[f], 1e-6) << f;
}

}  // namespace
}  // namespace wetrun
