// The array between a given flow and open ends: what flow, acid, caustic, pressure and dirt do to it.
#include <gtest/gtest.h>

#include "models/array/array.h"
#include "tests/support/membrane_plant.h"

namespace wetrun::test {
namespace {

const std::string keys = R"(
feed = "feed"
concentrate = "concentrate"
permeate = "permeate"
elevation = "1 m"
vessels = 4
elements = 4
)";
const std::string scale = R"(
[[deposit]]
foulant = "carbonate_scale"
amount = "10 g/m2"
profile = "tail"
fixed = "2 %"
)";

MembranePlant plant(const std::string& text, const Amounts& feed, double kelvin = 298.15) {
  return MembranePlant(register_array, "array", text, feed, {"concentrate", "permeate"}, kelvin);
}
constexpr double full_flow = 32.0 / 3600;  // 8 m3/h through each of four vessels

TEST(ArrayUnit, CleanElementsDropLittleAtCleaningFlow) {
  MembranePlant p = plant(keys, water_at(298.15));
  p.set("test.flow", full_flow);
  p.run(10);
  EXPECT_NEAR(p["it.vessel_flow"] * 3600, 8, 1e-6);
  // 0.15 to 0.3 bar for each clean element at cleaning flow (common practice, no source)
  EXPECT_GT(p["it.dp"] / 4, 0.12e5);
  EXPECT_LT(p["it.dp"] / 4, 0.30e5);
  EXPECT_NEAR(p["it.permeability"], p["it.permeability_clean"], 1e-16);
  EXPECT_DOUBLE_EQ(p["it.recovered_fraction"], 1);
  EXPECT_GT(p["it.permeate_flow"], 0);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(ArrayUnit, PermeationFollowsPressureAreaAndTemperature) {
  MembranePlant p = plant(keys, water_at(298.15));
  p.set("test.concentrate", 2e5);
  p.run(2);  // nothing flows in but 2 bar stand behind the membrane: water comes from the concentrate end
  // 16 elements of 37 m2, 9.5e-12 m/s/Pa, 2 bar less the little drop along the channels
  EXPECT_NEAR(p["it.permeate_flow"], 16 * 37 * 9.5e-12 * 2e5, 0.02 * 16 * 37 * 9.5e-12 * 2e5);
}

TEST(ArrayUnit, AcidTakesTheScaleAndTheBooksClose) {
  MembranePlant p = plant(keys + scale, hydrochloric(12, 303.15), 303.15);
  const double before = p["it.deposit_carbonate_scale"];
  EXPECT_NEAR(before, 16 * 37 * 0.010, 1e-9);
  EXPECT_NEAR(p["it.recovered_fraction"], 0, 1e-9);
  p.set("test.flow", full_flow);
  p.set("test.concentrate", 0.5e5);
  p.run(1800);
  EXPECT_GT(p["it.recovered_fraction"], 0.6);
  EXPECT_LE(p["it.recovered_fraction"], 1);
  EXPECT_GT(p["it.scale_dissolved"], 0.8 * (before - p["it.deposit_carbonate_scale"]));
  EXPECT_LE(p["it.scale_dissolved"], before - p["it.deposit_carbonate_scale"] + 1e-9);
  EXPECT_LT(p["it.ph_min"], 2.1);
  EXPECT_GE(p["it.fixed_carbonate_scale"], 0.02 * before - 1e-12);
  EXPECT_LT(p["it.channel_dp_normalised"], p["it.channel_dp_before"]);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(ArrayUnit, SoakEatsTheAcidInTheChannels) {
  MembranePlant p = plant(keys + scale, hydrochloric(12, 303.15), 303.15);
  p.set("test.flow", full_flow);
  p.run(60);
  p.set("test.flow", 0);
  p.run(1200);
  const double dissolved = p["it.scale_dissolved"];
  p.run(600);
  EXPECT_LT(p["it.scale_dissolved"] - dissolved, 0.05 * dissolved);  // spent: no flow brings fresh acid
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(ArrayUnit, TooMuchFlowTelescopesForGood) {
  MembranePlant p = plant(keys + R"(element_dp_limit = "0.5 bar")", water_at(298.15));
  p.set("test.flow", full_flow);
  p.run(5);
  EXPECT_EQ(p["it.telescoped"], 0);
  const double passage = p["it.salt_passage"];
  p.set("test.flow", 2.2 * full_flow);
  p.run(2);
  EXPECT_EQ(p["it.telescoped"], 4);
  p.set("test.flow", full_flow);
  p.run(5);
  EXPECT_EQ(p["it.telescoped"], 4);
  EXPECT_NEAR(p["it.salt_passage"] / passage, 1.5, 1e-6);
}

TEST(ArrayUnit, ShutPermeateReturnDelaminates) {
  MembranePlant p = plant(keys, water_at(298.15));
  p.set("test.permeate", 0.25e5);
  p.run(2);
  EXPECT_EQ(p["it.delaminated"], 0);
  EXPECT_LT(p["it.permeate_flow"], 0);  // backwards
  p.set("test.permeate", 0.4e5);
  p.run(2);
  EXPECT_EQ(p["it.delaminated"], 1);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(ArrayUnit, HotCausticIsLoggedAsExposureAndSwells) {
  MembranePlant p = plant(keys, caustic_soda(25, 308.15), 308.15);  // about pH 12 at 35 degC
  p.set("test.flow", full_flow);
  p.set("test.concentrate", 2e5);
  p.run(3600);
  EXPECT_NEAR(p["it.ph_max"], 12.0, 0.1);  // 0.1 % NaOH at 35 degC (common practice table)
  EXPECT_GT(p["it.exposure"], 3500);
  EXPECT_GT(p["it.damage"], 0.001);
  EXPECT_LT(p["it.damage"], 0.01);  // measurable only after tens of hours (common practice, no source)
  EXPECT_GT(p["it.permeability"], 1.03 * p["it.permeability_clean"]);
  EXPECT_DOUBLE_EQ(p["it.permeability_settled"], p["it.permeability_clean"]);
}

TEST(ArrayUnit, MembraneHoldsSaltAndDirtSettles) {
  Amounts feed = water_at(298.15);
  feed[sodium] = feed[chloride] = 10;
  feed[solid_biofilm] = 0.1;
  MembranePlant p = plant(keys, feed);
  p.set("test.flow", full_flow);
  p.set("test.concentrate", 2e5);
  p.run(300);
  const auto& cells = p.sim().x();
  const std::size_t tube = p.sim().plant().cell("it.permeate_tube").index() * component_count;
  const std::size_t last = p.sim().plant().cell("it.position_4").index() * component_count;
  const double in_permeate = cells[tube + sodium] / cells[tube], in_feed = cells[last + sodium] / cells[last];
  EXPECT_NEAR(in_permeate / in_feed, 0.01, 0.002);  // salt passage 1 %
  EXPECT_NEAR(cells[tube + solid_biofilm], 0, 1e-12);
  EXPECT_GT(p["it.deposit_biofilm"], 0);
  EXPECT_LT(p.worst_balance(), 1e-9);
}

TEST(ArrayUnit, ChlorineDoseIsCounted) {
  Amounts feed = water_at(298.15);
  feed[sodium] = feed[hypochlorite] = 10 / 70.906;  // 10 ppm as Cl2
  MembranePlant p = plant(keys, feed);
  p.set("test.flow", full_flow);
  p.run(600);
  EXPECT_NEAR(p["it.chlorine_dose"], 10 * 600, 10 * 30);
}

TEST(ArrayUnit, RefusesImpossibleKeys) {
  const auto bad = [](const std::string& text) { return plant(text, water_at(298.15)); };
  EXPECT_THROW(bad(keys + R"([[deposit]]
foulant = "mud"
amount = "1 g/m2")"),
               InputError);
  EXPECT_THROW(bad(keys + R"([[deposit]]
foulant = "biofilm"
amount = "100 g/m2")"),
               InputError);
  EXPECT_THROW(bad(keys + "surprise = 1\n"), InputError);
  EXPECT_THROW(bad(keys + R"(salt_passage = "120 %")"), InputError);
}

}  // namespace
}  // namespace wetrun::test
