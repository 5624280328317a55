// Tank and electrode on a small rig: chemicals, mixing, hazards, heat. Figures marked "practice" are common practice of
// the trade, no source.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/support/rig.h"

namespace wetrun::test {
namespace {

TEST(TankUnit, ChemicalMixesOnlyWithTheJet) {
  Rig still, stirred;
  stirred.start();
  for (Rig* rig : {&still, &stirred}) {
    rig->run(5);
    rig->set("tank.add_hydrochloric_acid_32", 2);
    rig->run(60);
    EXPECT_NEAR((*rig)["tank.added_hydrochloric_acid_32"], 2, 1e-12);
    EXPECT_LT(rig->worst_balance(), 1e-12);
  }
  EXPECT_LT(still["tank.ph_bottom"] + 0.5, still["tank.ph_bulk"]);
  EXPECT_NEAR(stirred["tank.ph_bottom"], stirred["tank.ph_bulk"], 0.01);
  // 2 kg of 32 % acid are 17.55 mol in 1.03 m3: pH 1.77 of a strong acid without activity correction (arithmetic),
  // up to 0.07 more with it.
  EXPECT_NEAR(stirred["tank.ph_bulk"], 1.80, 0.05);
}

// Practice: 2 % citric acid is near pH 2.1; dissolving takes minutes, stirred.
TEST(TankUnit, CitricAcidDissolvesInMinutesAndGivesItsPh) {
  Rig rig;
  rig.start();
  rig.run(5);
  rig.sim().send({.target = rig.sim().plant().signal("tank.add_citric_acid_monohydrate"), .value = 22});
  rig.run(22 * 6 + 20 + 30);
  EXPECT_GT(rig["tank.undissolved"], 0.5);
  EXPECT_NEAR(rig["tank.added_citric_acid_monohydrate"], 22, 1e-9);
  rig.run(900);
  EXPECT_LT(rig["tank.undissolved"], 0.1);
  EXPECT_NEAR(rig["tank.ph_bulk"], 2.1, 0.1);
  EXPECT_EQ(rig["tank.spatter"], 0);
  EXPECT_GT(rig["tank.exposure"], 21.9);  // no goggles on
  EXPECT_LT(rig.worst_balance(), 1e-12);
}

// Citric acid takes up 138 kJ/kg as it dissolves: 25 kg of it would cool a heel of 6 L by far more than water stays liquid.
TEST(TankUnit, ABagInAHeelCoolsItNoFurtherThanItFreezes) {
  Rig rig{{"unit.tank.start_volume", "6 L"}};
  rig.set("tank.add_citric_acid_monohydrate", 25);
  double coldest = 400;
  for (int minute = 0; minute < 60; ++minute) {
    rig.run(60);
    coldest = std::min(coldest, rig["tank.bottom_temperature"]);
  }
  EXPECT_GT(coldest, 268.0);
  EXPECT_LT(coldest, 275.0) << "the case must be one that cools so far";
  EXPECT_GT(rig["tank.undissolved"], 1);
  EXPECT_LT(rig.worst_balance(), 1e-9);
}

// The bottom of a fizzing acid as strong as the bulk, then a little stronger, by 0.3 % in sixty steps: more and more gas
// comes off, by as much with every step. A law that changes over somewhere between would make a jump of it.
TEST(TankUnit, GasGoesWithTheStrengthOfEachZoneWithoutAJump) {
  Rig rig;
  const Plant& plant = rig.sim().plant();
  const std::size_t bulk = plant.cell("tank.bulk").index(), bottom = plant.cell("tank.bottom").index();
  std::vector<double> given_off_mol_s;
  rig.sim().integrate_by([&](const Simulation::Derivative& equations, const Surroundings&, std::vector<double>& x,
                             double time_s, double h_s, bool) {
    std::vector<double> trial = x, slope(x.size());
    const auto fill = [&](std::size_t cell, double strength) {  // citric acid with dissolved carbon dioxide
      double* amounts = &trial[cell * plant.components()];
      const double mol = strength * amounts[volume_m3];
      amounts[carbonate] = 60 * mol;  // 1 atm of it holds about 39 mol/m3 at 20 degC
      amounts[citrate] = 50 * mol;
      amounts[proton] = (2 * 60 + 3 * 50) * mol;
    };
    fill(bulk, 1);
    for (int k = 0; k <= 60; ++k) {
      fill(bottom, 1 + 5e-5 * k);
      equations(trial, time_s, slope);
      given_off_mol_s.push_back(-slope[bulk * plant.components() + carbonate] -
                                slope[bottom * plant.components() + carbonate]);
    }
    return h_s;
  });
  rig.run(rig.sim().step_s());
  ASSERT_EQ(given_off_mol_s.size(), 61u);
  const double mean = (given_off_mol_s.back() - given_off_mol_s.front()) / 60;
  EXPECT_GT(mean, 0);
  for (std::size_t k = 1; k < given_off_mol_s.size(); ++k)
    EXPECT_NEAR(given_off_mol_s[k] - given_off_mol_s[k - 1], mean, 0.02 * mean) << k;
}

// What lies on the floor and what the bag gave cancel until it dissolves, which takes long in a heel that citric acid has
// cooled to freezing. A balance is to be seen against the 55 mol that were handled, not against what is left of them.
TEST(TankUnit, ABagThatLiesOnTheFloorIsNotMissing) {
  Rig rig{{"unit.tank.start_volume", "6 L"}};
  rig.set("tank.add_citric_acid_monohydrate", 25);
  rig.run(1800);
  rig.set("tank.add_edta_tetrasodium", 25);
  rig.run(5);
  ASSERT_GT(rig["tank.undissolved"], 25);
  EXPECT_LT(rig.worst_balance(), 1e-13);
  const SimulationState state = rig.sim().save();
  const auto& invariants = rig.sim().plant().invariants();
  const auto edta = std::find_if(invariants.begin(), invariants.end(), [](const auto& i) { return i.name == "edta"; });
  ASSERT_NE(edta, invariants.end());
  EXPECT_GT(state.invariant_scale[static_cast<std::size_t>(edta - invariants.begin())], 25 / 0.45223);  // kg/mol
}

TEST(TankUnit, WaterFirst) {
  Rig rig{{"unit.tank.start_volume", "6 L"}};
  rig.set("tank.protective_gear", 1);
  rig.set("tank.add_sodium_hydroxide", 5);
  rig.run(120);
  EXPECT_EQ(rig["tank.spatter"], 1);
  EXPECT_EQ(rig["tank.exposure"], 0);
  EXPECT_LT(rig["tank.bottom_temperature"], 393);
  EXPECT_LT(rig.worst_balance(), 1e-9);
  Rig enough;
  enough.start();
  enough.set("tank.add_sodium_hydroxide", 5);
  enough.run(300);
  EXPECT_EQ(enough["tank.spatter"], 0);
}

TEST(TankUnit, AcidOnHypochloriteGivesChlorine) {
  Rig rig{{"unit.tank.residue_hypochlorite", "5 mol"}};
  rig.start();
  rig.run(60);
  EXPECT_EQ(rig["tank.fumes"], 0);
  rig.set("tank.add_hydrochloric_acid_32", 3);
  rig.run(120);
  EXPECT_EQ(rig["tank.fumes"], 1);
  EXPECT_GT(rig["tank.chlorine_released"], 0);
  EXPECT_LT(rig.worst_balance(), 1e-9);
}

// Hypochlorite comes with as much chloride as itself (2 NaOH + Cl2 -> NaOCl + NaCl + H2O), so that citric acid, which
// brings none, sets chlorine free all the same. A residue is to act like the same amount out of a drum: 10 mol are
// 5.91 kg at 1.692 mol/kg (12 % of available chlorine, 70.9 g/mol).
TEST(TankUnit, ResidueOfHypochloriteActsLikeThatFromADrum) {
  Rig residue{{"unit.tank.residue_hypochlorite", "10 mol"}}, drum;
  for (Rig* rig : {&residue, &drum}) {
    rig->start();
    if (rig == &drum) rig->set("tank.add_sodium_hypochlorite_12", 10 / 1.692);
    rig->run(120);
    EXPECT_EQ((*rig)["tank.fumes"], 0);
    rig->set("tank.add_citric_acid_monohydrate", 8);
    rig->run(900);
    EXPECT_EQ((*rig)["tank.fumes"], 1);
    EXPECT_LT(rig->worst_balance(), 1e-9);
  }
  EXPECT_NEAR(residue["tank.chlorine_ppm"], drum["tank.chlorine_ppm"], 0.1 * drum["tank.chlorine_ppm"]);
}

TEST(TankUnit, WrongAndWeakDeliveries) {
  Rig rig;
  rig.start();
  rig.set("tank.swap_chemical", 3);  // sodium hydroxide in every bag
  rig.set("tank.add_citric_acid_monohydrate", 2);
  rig.run(600);
  EXPECT_GT(rig["tank.ph_bulk"], 11);
  EXPECT_LT(rig.worst_balance(), 1e-9);
  Rig weak;
  weak.start();
  weak.set("tank.delivered_strength", 0.1);
  weak.set("tank.add_hydrochloric_acid_32", 2);
  weak.run(300);
  EXPECT_NEAR(weak["tank.ph_bulk"], 2.79, 0.06);  // a tenth of the acid above
  EXPECT_LT(weak.worst_balance(), 1e-9);
}

// 18 kW into 1.03 m3 of 4.16 MJ/m3/K: 15 K/h... 0.252 K/min, less 6 W of pump-free loss (arithmetic).
TEST(TankUnit, HeaterWarmsByItsPowerAndTheThermostatHoldsIt) {
  Rig rig;
  rig.set("tank.heater", 1);
  rig.set("tank.heater_setpoint", 298.15);
  rig.run(120);
  const double start = rig["tank.true_temperature"], bottom = rig["tank.bottom_temperature"];
  rig.run(600);
  const double mean_rise =
      0.75 * (rig["tank.true_temperature"] - start) + 0.25 * (rig["tank.bottom_temperature"] - bottom);
  EXPECT_NEAR(mean_rise, 18000.0 * 600 / (4.16e6 * 1.0), 0.03 * mean_rise);
  rig.run(3600);
  EXPECT_NEAR(rig["tank.temperature"], 298.15, 1.5);
  rig.set("tank.heater_stuck_on", 1);
  rig.run(3600);
  EXPECT_GT(rig["tank.temperature"], 305);
  EXPECT_EQ(rig["tank.heater_lamp"], 1);
  EXPECT_LT(rig.worst_balance(), 1e-9);
}

TEST(TankUnit, DryHeaterIsCutOutOrBurns) {
  Rig safe{{"unit.tank.start_volume", "50 L"}};
  safe.set("tank.heater", 1);
  safe.run(300);
  EXPECT_EQ(safe["tank.heater_burnt"], 0);
  EXPECT_EQ(safe["tank.heater_lamp"], 0);
  Rig bare{{"unit.tank.start_volume", "50 L"}, {"unit.tank.heater_dry_protection", "false"}};
  bare.set("tank.heater", 1);
  bare.run(300);
  EXPECT_EQ(bare["tank.heater_burnt"], 1);
  EXPECT_LT(bare.worst_balance(), 1e-9);
}

// Practice: a heater whose contactor has welded is stopped by isolating its power, and by nothing else.
TEST(TankUnit, IsolatingThePanelStopsAWeldedHeater) {
  Rig rig{{"unit.tank.heater_supply", "panel.power_lamp"}};
  rig.set("tank.heater_stuck_on", 1);
  rig.run(5);
  EXPECT_EQ(rig["tank.heater_lamp"], 0);  // nothing is live yet
  rig.set("panel.breaker", 1);
  rig.set("panel.disconnect", 1);
  rig.run(60);
  EXPECT_EQ(rig["tank.heater_lamp"], 1);
  rig.set("panel.disconnect", 0);
  rig.run(5);
  EXPECT_EQ(rig["tank.heater_lamp"], 0);
  const double used = rig["tank.heater_energy"];
  rig.run(60);
  EXPECT_EQ(rig["tank.heater_energy"], used);
  EXPECT_LT(rig.worst_balance(), 1e-9);
}

// Practice: a heater on over a low level because the low switch hangs (crystals, a caught float) is dry within minutes
// and burns out; a sound switch cuts it off in time.
TEST(TankUnit, AStuckLowSwitchLetsTheHeaterRunDry) {
  for (const double stuck : {0.0, 1.0}) {
    Rig rig;
    rig.set("tank.low_switch_stuck", stuck);
    rig.set("tank.heater", 1);
    rig.set("tank.heater_setpoint", 323.15);
    rig.run(60);
    EXPECT_EQ(rig["tank.heater_lamp"], 1);
    rig.set("drain.opening", 1);
    rig.run(900);
    EXPECT_EQ(rig["tank.heater_burnt"], stuck);
    EXPECT_EQ(rig["tank.heater_lamp"], 0);
    EXPECT_LT(rig.worst_balance(), 1e-9);
  }
}

TEST(TankUnit, AHeaterAboveTheLowSwitchIsRefused) {
  try {
    Rig rig{{"unit.tank.heater_height", "0.4 m"}};
    FAIL() << "accepted";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("bare before the low switch"), std::string::npos) << error.what();
  }
  Rig careless{{"unit.tank.heater_height", "0.4 m"}, {"unit.tank.heater_dry_protection", "false"}};
  careless.run(1);
}

TEST(TankUnit, ATankOfNoHeightIsRefused) {
  try {
    Rig rig{{"unit.tank.diameter", "8 m"}};
    FAIL() << "accepted";
  } catch (const InputError& error) {
    EXPECT_NE(std::string(error.what()).find("unit.tank.diameter: the tank would be only"), std::string::npos)
        << error.what();
  }
}

// IEC 60204-1, stop category 0: the emergency stop takes the power from all actuators (from memory). A welded contactor
// does not open: only isolating helps.
TEST(TankUnit, TheEmergencyStopOpensTheHeatersContactor) {
  Rig rig{{"unit.tank.heater_supply", "panel.power_lamp"}, {"unit.tank.heater_stop", "panel.emergency_stop"}};
  rig.set("panel.breaker", 1);
  rig.set("panel.disconnect", 1);
  rig.set("tank.heater", 1);
  rig.set("tank.heater_setpoint", 323.15);
  rig.run(5);
  EXPECT_EQ(rig["tank.heater_lamp"], 1);
  rig.set("panel.emergency_stop", 1);
  rig.run(2);
  EXPECT_EQ(rig["tank.heater_lamp"], 0);
  rig.set("tank.heater_stuck_on", 1);
  rig.run(2);
  EXPECT_EQ(rig["tank.heater_lamp"], 1);
  rig.set("panel.disconnect", 0);
  rig.run(2);
  EXPECT_EQ(rig["tank.heater_lamp"], 0);
}

TEST(TankUnit, ShowsWhatAPersonSeesInIt) {
  Rig rig;
  rig.run(5);
  for (const char* name : {"tank.iron_colour", "tank.organic_colour", "tank.undissolved_seen", "tank.steam"})
    EXPECT_LT(rig[name], 0.01) << name;
  rig.set("tank.add_citric_acid_monohydrate", 20);
  rig.run(60);
  EXPECT_GT(rig["tank.undissolved_seen"], 0.5) << "20 kg on the floor of clear water";
  rig.run(600);
  EXPECT_GT(rig["tank.layered"], 0.9) << "strong acid lies at the bottom of a still tank";
  rig.start();
  rig.run(1200);
  EXPECT_LT(rig["tank.layered"], 0.1);
  EXPECT_LT(rig["tank.undissolved_seen"], 0.1);
  Rig warm{{"unit.tank.start_water", "permeate"}, {"unit.tank.start_temperature", "45 degC"}};
  warm.run(1);
  EXPECT_GT(warm["tank.steam"], 0.3);
}

TEST(TankUnit, OverflowsToTheDrainAndTheHighLampStopsNothing) {
  Rig rig{{"unit.tank.start_volume", "1.3 m3"}, {"unit.fill.opening", "1"}};
  rig.set("panel.breaker", 1);
  rig.set("panel.disconnect", 1);
  rig.run(60);
  EXPECT_EQ(rig["panel.high_lamp"], 1);
  EXPECT_GT(rig["fill.flow"], 1e-3);
  rig.run(120);
  EXPECT_EQ(rig["tank.overflowing"], 1);
  EXPECT_GT(rig["waste.volume"], 0.05);
  EXPECT_LT(rig["tank.level"], 1);
  EXPECT_LT(rig.worst_balance(), 1e-12);
}

TEST(TankUnit, DrainsToItsHeelAndNoFurther) {
  Rig rig{{"unit.drain.opening", "1"}, {"unit.tank.start_volume", "0.4 m3"}};
  rig.run(3600);
  EXPECT_GT(rig["tank.volume"], 0.0045);
  EXPECT_LT(rig["tank.volume"], 0.012);
  EXPECT_LT(rig.worst_balance(), 1e-12);
}

TEST(ElectrodeUnit, ReadsTruthLagsAndLies) {
  Rig rig;
  rig.start();
  rig.run(60);
  EXPECT_NEAR(rig["electrode.reading"], rig["electrode.true_ph"], 0.05);
  rig.set("tank.add_hydrochloric_acid_32", 2);
  rig.run(2);
  EXPECT_GT(rig["electrode.reading"], rig["electrode.true_ph"] + 1);  // it lags
  rig.run(120);
  EXPECT_NEAR(rig["electrode.reading"], rig["electrode.true_ph"], 0.08);
  rig.set("electrode.offset", 0.059);
  rig.run(60);
  EXPECT_NEAR(rig["electrode.true_ph"] - rig["electrode.reading"], 1.0, 0.1);
  rig.set("electrode.grab_sample", 1);
  rig.run(2);
  EXPECT_NEAR(rig["electrode.strip"], rig["electrode.true_ph"], 0.26);
  rig.set("electrode.cracked", 1);
  rig.run(120);
  EXPECT_NEAR(rig["electrode.reading"], 7, 0.3);
}

TEST(ElectrodeUnit, CalibratesOnlyOutOfTheLineAndReplacingCures) {
  Rig rig;
  rig.start();
  rig.set("electrode.offset", 0.020);
  rig.set("electrode.calibrate", 1);
  rig.run(30);
  EXPECT_EQ(rig["electrode.refused"], 1);
  EXPECT_EQ(rig["electrode.calibrations"], 0);
  rig.set("electrode.fitted", 0);
  rig.set("electrode.calibrate", 1);
  rig.run(5);
  EXPECT_EQ(rig["electrode.calibrations"], 1);
  rig.set("electrode.fitted", 1);
  rig.run(60);
  EXPECT_NEAR(rig["electrode.reading"], rig["electrode.true_ph"], 0.05);
  rig.set("electrode.dry", 1);
  rig.run(60);
  EXPECT_LT(rig["electrode.hydration"], 0.1);
  rig.set("electrode.replace", 1);
  rig.run(120);
  EXPECT_GT(rig["electrode.hydration"], 0.99);
  EXPECT_NEAR(rig["electrode.reading"], rig["electrode.true_ph"], 0.05);
}

TEST(ElectrodeUnit, DriesOutInAirAndKeepsWetUnderItsCap) {
  Rig bare{{"unit.electrode.fitted", "false"}},
      capped{{"unit.electrode.fitted", "false"}, {"unit.electrode.capped", "true"}};
  bare.run(4 * 3600);
  capped.run(4 * 3600);
  EXPECT_NEAR(bare["electrode.hydration"], std::exp(-1.0), 1e-3);  // closed form: 4 h at 14400 s
  EXPECT_NEAR(capped["electrode.hydration"], 1, 1e-9);
}

}  // namespace
}  // namespace wetrun::test
