#include <gtest/gtest.h>

#include "models/array/envelope.h"

namespace wetrun {
namespace {

// Rows: common practice for polyamide elements, no source.
TEST(Envelope, PolyamideLimits) {
  const Envelope e = Envelope::polyamide();
  EXPECT_EQ(e.outside(12.0, 298.15), 0);
  EXPECT_NEAR(e.outside(12.0, 308.15), 0.5, 1e-12);
  EXPECT_NEAR(e.outside(1.5, 308.15), 0.5, 1e-12);
  EXPECT_EQ(e.outside(1.5, 293.15), 0);
  EXPECT_NEAR(e.ph_max(303.15), 11.75, 1e-12);      // half way between two rows
  EXPECT_NEAR(e.outside(7.0, 328.15), 1.0, 1e-12);  // 10 K above the last row
}

TEST(Envelope, RefusesRowsThatDoNotRise) {
  EXPECT_THROW(Envelope({{308.15, 2, 11}, {298.15, 1, 12}}), InputError);
  EXPECT_THROW(Envelope({{298.15, 9, 3}}), InputError);
  EXPECT_THROW(Envelope({}), InputError);
}

TEST(Envelope, ReadsTables) {
  const Document d = Document::parse(R"([envelope]
temperature = ["20 degC", "40 degC"]
ph_min = ["1 pH", "3 pH"]
ph_max = ["13 pH", "11 pH"])",
                                     "test");
  const Envelope e = Envelope::read(d.root(), "envelope", Envelope::polyamide());
  EXPECT_NEAR(e.ph_max(303.15), 12, 1e-9);
  const Document bad = Document::parse(R"([envelope]
temperature = ["20 degC", "40 degC"]
ph_min = ["1 pH"]
ph_max = ["13 pH", "11 pH"])",
                                       "test");
  EXPECT_THROW(Envelope::read(bad.root(), "envelope", Envelope::polyamide()), InputError);
}

}  // namespace
}  // namespace wetrun
