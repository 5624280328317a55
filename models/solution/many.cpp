// Many liquids at once: fours in the lanes of the vector unit.
#include "engine/core/error.h"
#include "models/solution/nearby.h"
#include "models/solution/solution.h"

namespace wetrun {

namespace {

// Fours, and what is left or was not done singly.
void solve_all(std::span<const double* const> amounts, std::span<double* const> starts, Speciation* out) {
  WETRUN_REQUIRE(amounts.size() == starts.size());
  const auto single = [&](std::size_t i) {
    const std::span<const double> liquid(amounts[i], component_count);
    const SpeciationStart start(starts[i], start_count);
    if (out)
      out[i] = speciate(liquid, start);
    else
      solve_ph(liquid, start);
  };
  std::size_t i = 0;
  for (; i + lane_count <= amounts.size(); i += lane_count) {
    Speciation* four[lane_count] = {};
    for (std::size_t j = 0; out && j < lane_count; ++j) four[j] = out + i + j;
    const auto done = speciate_four_nearby(&amounts[i], &starts[i], out ? four : nullptr);
    for (std::size_t j = 0; j < lane_count; ++j)
      if (!done[j]) single(i + j);
  }
  for (; i < amounts.size(); ++i) single(i);
}

}  // namespace

void speciate_all(std::span<const double* const> amounts, std::span<double* const> starts, std::span<Speciation> out) {
  WETRUN_REQUIRE(out.size() == amounts.size());
  solve_all(amounts, starts, out.data());
}

void solve_ph_all(std::span<const double* const> amounts, std::span<double* const> starts) {
  solve_all(amounts, starts, nullptr);
}

}  // namespace wetrun
