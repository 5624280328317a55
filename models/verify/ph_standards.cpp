// pH standards and mixed buffers, made up as the sources say. Sodium stands for potassium, as in the models.
#include <cmath>
#include <optional>
#include <string>

#include "models/solution/solution.h"
#include "models/verify/liquids.h"
#include "models/verify/verification.h"

namespace wetrun {
namespace {

bool has(const PublishedValue& row, const char* word) { return row.id.find(word) != std::string::npos; }

/// The buffer of a row; none if the models lack its acid.
std::optional<Amounts> buffer(const PublishedValue& row) {
  const auto make = row.conditions.find("mol/L") != std::string::npos ? molar : molal;
  if (has(row, "phosphate")) return make(row.kelvin, {{phosphate, 0.05}, {sodium, 0.075}, {proton, 0.075}});
  if (has(row, "carbonate") || has(row, "tech_10"))
    return make(row.kelvin, {{carbonate, 0.05}, {sodium, 0.075}, {proton, 0.025}});
  if (has(row, "citrate")) return make(row.kelvin, {{citrate, 0.05}, {sodium, 0.05}, {proton, 0.10}});
  if (has(row, "caoh2")) return make(row.kelvin, {{calcium, 0.0203}, {proton, -0.0406}});
  if (has(row, "tech_7")) return make(row.kelvin, {{phosphate, 0.067}, {sodium, 0.108}, {proton, 0.093}});
  if (has(row, "KCl_HCl")) {  // "25 mL 0.2 M KCl + 67.0 mL 0.2 M HCl made up to 100 mL"
    const double ml = std::strtod(row.conditions.c_str() + row.conditions.find("+ ") + 2, nullptr);
    return molar(row.kelvin, {{sodium, 0.05}, {chloride, 0.05 + 0.002 * ml}, {proton, 0.002 * ml}});
  }
  return std::nullopt;
}

/// Strong base per pH [mol/m3], by central difference.
double buffer_value(const Amounts& buffer) {
  constexpr double step = 1e-4;
  Amounts less = buffer, more = buffer;
  less[proton] += step, less[sodium] -= step;
  more[proton] -= step, more[sodium] += step;
  return 2 * step / buffer[volume_m3] / (solve_ph(more) - solve_ph(less));
}

}  // namespace

void verify_ph_standards(Verification& to) {
  for (const PublishedValue* row : to.rows("ph_standards")) {
    const std::optional<Amounts> liquid = buffer(*row);
    if (row->id == "bates_guggenheim")
      to.leave(*row, "the models take single-ion activities from Davies's equation, which has no such denominator");
    else if (has(*row, "phthalate") || has(*row, "KHP") || has(*row, "tech_4"))
      to.leave(*row, "the models have no phthalic acid");
    else if (has(*row, "borax"))
      to.leave(*row, "the models have no boric acid");
    else if (row->starts_with("bufval"))
      to.compare(*row, buffer_value(liquid.value()), "models/solution/solution.h, solve_ph, slope with strong base");
    else
      to.compare(*row, solve_ph(liquid.value()), "models/solution/solution.h, solve_ph");
  }
}

}  // namespace wetrun
