// Laws of the glass electrode: closed forms and the size of its errors. The Nernst slope and the response are compared in
// verify_tables_test.cpp (table ph_electrode).
#include "models/electrode/electrode_law.h"

#include <gtest/gtest.h>

namespace wetrun::test {
namespace {

TEST(ElectrodeLaw, TransmitterUndoesTheGlass) {
  for (double kelvin : {278.15, 298.15, 318.15})
    for (double ph : {1.0, 4.0, 7.0, 10.0})
      EXPECT_NEAR(transmitter_ph(glass_potential_v(ph, kelvin, 0.97, 0.012), kelvin, 0.97, 0.012), ph, 1e-12);
}

// Without compensation a pH 2 solution at 45 degC read as if at 25 degC is off by (T/T0 - 1)(7 - pH): closed form.
TEST(ElectrodeLaw, MissingCompensationShiftsByTheRatioOfTemperatures) {
  const double shown = transmitter_ph(glass_potential_v(2, 318.15, 1, 0), 298.15, 1, 0);
  EXPECT_NEAR(shown, 7 - (318.15 / 298.15) * 5, 1e-9);
}

// Common practice, no publication cited: general-purpose glass reads a tenth to a few tenths low at pH 12 to 13 with
// 0.1 to 1 mol/kg sodium, worse when warm, and nothing is seen below pH 10.
TEST(ElectrodeLaw, SodiumErrorHasTheSizeOfThePractice) {
  const double low_13 = 13 - glass_ph(13, 1.0, 298.15);
  EXPECT_GT(low_13, 0.1);
  EXPECT_LT(low_13, 0.5);
  EXPECT_GT(13 - glass_ph(13, 1.0, 318.15), low_13);
  EXPECT_LT(10 - glass_ph(10, 0.1, 298.15), 0.005);
}

}  // namespace
}  // namespace wetrun::test
