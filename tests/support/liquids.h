// Liquids for tests of the chemistry.
#pragma once
#include "models/verify/liquids.h"

namespace wetrun::test {

using wetrun::molal;
using wetrun::molar;

/// Sum of formal charges: 0 for a liquid that can exist.
inline double formal_charge(const Amounts& a) {
  double sum = 0;
  for (std::size_t c = 0; c < component_count; ++c) sum += component_info[c].charge * a[c];
  return sum;
}

}  // namespace wetrun::test
