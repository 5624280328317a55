// The glass electrode: Nernst slope, what a calibration accepts, response.
#include <cmath>
#include <string>

#include "models/electrode/electrode.h"
#include "models/electrode/electrode_law.h"
#include "models/verify/verification.h"

namespace wetrun {
namespace {

constexpr const char* potential_law = "models/electrode/electrode_law.h, glass_potential_v";
constexpr const char* response_law = "models/electrode/electrode_law.h, glass_time_constant_s";

/// pH at which the potential of sound glass is the same at 5 and 45 degC.
double isopotential_ph() {
  double low = 0, high = 14;
  for (int i = 0; i < 60; ++i) {
    const double ph = 0.5 * (low + high);
    (glass_potential_v(ph, 318.15, 1, 0) > glass_potential_v(ph, 278.15, 1, 0) ? low : high) = ph;
  }
  return low;
}

/// What a new electrode, standardised at pH 7 only, is off by in the buffer of pH 4.
double second_buffer_error(double kelvin) {
  return std::abs(transmitter_ph(glass_potential_v(4, kelvin, new_glass_slope, 0), kelvin, 1, 0) - 4);
}

/// Time to 95 % of a change [s] of the electrode the models take when nothing else is said, new and wet.
double response_95_s(double coating) {
  return 3 * glass_time_constant_s(Electrode::Settings{}.response_s, 0, coating, 1);
}

}  // namespace

void verify_ph_electrode(Verification& to) {
  for (const PublishedValue* row : to.rows("ph_electrode")) {
    if (row->starts_with("nernst"))
      to.compare(*row, nernst_slope_v(row->kelvin), "models/electrode/electrode_law.h, nernst_slope_v");
    else if (row->id == "slope_accept")
      to.leave(*row,
               "a laboratory's band; the transmitter of the models accepts 85 to 105 %, the wider band of process "
               "electrodes (common practice)");
    else if (row->id == "second_buffer_check")
      to.at_most(*row, second_buffer_error(298.15), potential_law);
    else if (row->id == "field_stability")
      to.leave(*row, "a rule for the person reading; the models have no criterion of stability");
    else if (row->id == "fast_response")
      to.leave(*row, "the fast end of what is sold; the electrode of the models is the healthy one of typical_t95");
    else if (row->id == "typical_t95")
      to.compare(*row, response_95_s(0), response_law);
    else if (row->id == "slow_t95")
      to.compare(*row, response_95_s(0.5), response_law);  // half coated
    else if (row->id == "isopotential")
      to.compare(*row, isopotential_ph(), potential_law);
    else
      to.compare(*row, calibration_greatest_offset_v,
                 "models/electrode/electrode_law.h, calibration_greatest_offset_v");
  }
}

}  // namespace wetrun
