// Every row of every table of published values, compared by the program itself or left out for a stated reason; what
// `wetrun verify` prints.
#include <gtest/gtest.h>

#include <algorithm>
#include <fstream>
#include <set>
#include <sstream>

#include "models/verify/verification_table.h"

namespace wetrun {
namespace {

const Verification& everything() {
  static const Verification all = verify_all();
  return all;
}

class Table : public testing::TestWithParam<const char*> {};

TEST_P(Table, AgreesWithWhatIsPublished) {
  int compared = 0;
  for (const Comparison& each : everything().comparisons()) {
    if (each.published->table != GetParam()) continue;
    ++compared;
    EXPECT_TRUE(each.holds) << each.published->id << ": published " << each.published->text << ", computed "
                            << each.computed << ", allowed " << each.allowed << " (" << each.published->conditions
                            << "; " << each.published->source << ")";
  }
  EXPECT_GT(compared, 0);
}

INSTANTIATE_TEST_SUITE_P(Published, Table,
                         testing::Values("dissociation_constants", "dissolution_solubility", "filtration", "hydraulics",
                                         "membranes", "mixing", "motor_thermal", "network", "ph_electrode",
                                         "ph_standards", "solution_heats_densities", "water_properties"),
                         [](const auto& table) { return std::string(table.param); });

TEST(PublishedValues, NoneIsForgotten) {
  for (const PublishedValue* row : everything().forgotten()) ADD_FAILURE() << row->table << ": " << row->id;
  EXPECT_GE(published_values().size(), 1000u);
  EXPECT_GE(everything().comparisons().size(), 400u);
}

TEST(PublishedValues, EachHasASourceAndAPlaceWhereItWasSeenOrNot) {
  std::set<std::string> ids;
  for (const PublishedValue& row : published_values()) {
    EXPECT_TRUE(ids.insert(row.id).second) << row.id;
    EXPECT_FALSE(row.source.empty()) << row.id;
    EXPECT_TRUE(row.seen() || row.provenance == "from memory") << row.id << ": " << row.provenance;
    EXPECT_FALSE(row.text.empty()) << row.id;
    EXPECT_EQ(row.tolerance_kind.empty(), std::isnan(row.tolerance)) << row.id;
  }
}

// A comparison that cannot fail proves nothing: with another number each of them does.
TEST(PublishedValues, AWrongNumberIsOutsideItsTolerance) {
  Verification wrong;
  for (const Comparison& each : everything().comparisons()) {
    const PublishedValue& row = *each.published;
    if (row.tolerance_kind == "bound") continue;
    EXPECT_TRUE(std::isfinite(each.computed)) << row.id;
    const double computed = each.value + 1.01 * each.allowed + 1e-9 * (each.value == 0 ? 1 : std::abs(each.value));
    if (each.inputs.empty())
      wrong.compare(row, computed, "wrong on purpose");
    else
      wrong.compare_formula(row, {{"right", 1, 1}, {"wrong", each.value, computed}}, "wrong on purpose");
    EXPECT_FALSE(wrong.comparisons().back().holds) << row.id;
  }
  Verification none;
  none.compare(none.row("rho_max"), NAN, "not a number");
  EXPECT_EQ(none.failures(), 1u);
}

TEST(PublishedValues, TheTableInTheReadmeIsTheOneThatIsComputed) {
  std::ifstream in(WETRUN_SOURCE_DIR "/models/README.md");
  std::stringstream text;
  text << in.rdbuf();
  const std::string readme = text.str(), begin = "<!-- verify: made by wetrun verify -->\n",
                    end = "<!-- verify: end -->";
  const std::size_t from = readme.find(begin), to = readme.find(end);
  ASSERT_NE(from, std::string::npos);
  ASSERT_NE(to, std::string::npos);
  EXPECT_EQ(readme.substr(from + begin.size(), to - from - begin.size()), verification_markdown(everything()))
      << "renew it with models/renew_verify PATH-TO-WETRUN";
}

}  // namespace
}  // namespace wetrun
