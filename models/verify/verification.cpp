#include "models/verify/verification.h"

#include <algorithm>
#include <cmath>

#include "engine/core/error.h"

namespace wetrun {

std::vector<const PublishedValue*> Verification::rows(std::string_view table, std::string_view prefix) const {
  std::vector<const PublishedValue*> found;
  for (const PublishedValue& each : published_values())
    if (each.table == table && each.starts_with(prefix)) found.push_back(&each);
  WETRUN_REQUIRE(!found.empty());
  return found;
}

const PublishedValue& Verification::row(std::string_view id) const {
  const std::vector<PublishedValue>& all = published_values();
  const auto found = std::find_if(all.begin(), all.end(), [&](const PublishedValue& each) { return each.id == id; });
  WETRUN_REQUIRE(found != all.end());
  return *found;
}

void Verification::claim(const PublishedValue& row) { WETRUN_REQUIRE(claimed_.insert(&row).second); }

void Verification::add(const PublishedValue& row, double computed, std::string_view model, double allowed, bool holds) {
  add({&row, row.value, computed, computed - row.value, allowed, std::string(model), holds, ""});
}

void Verification::add(Comparison comparison) {
  claim(*comparison.published);
  comparisons_.push_back(std::move(comparison));
}

void Verification::compare(const PublishedValue& row, double computed, std::string_view model) {
  WETRUN_REQUIRE(row.tolerance_kind == "abs" || row.tolerance_kind == "rel" || row.tolerance_kind == "definition");
  // A value printed to n digits is compared in binary: the last bits of value and tolerance are nobody's error.
  const double allowed = row.allowed(), round_off = 1e-14 * std::abs(row.value);
  add(row, computed, model, allowed, std::abs(computed - row.value) <= allowed + round_off);
}

void Verification::at_least(const PublishedValue& row, double computed, std::string_view model) {
  WETRUN_REQUIRE(row.tolerance_kind == "bound");
  add(row, computed, model, 0, computed >= row.value);
}

void Verification::at_most(const PublishedValue& row, double computed, std::string_view model) {
  WETRUN_REQUIRE(row.tolerance_kind == "bound");
  add(row, computed, model, 0, computed <= row.value);
}

void Verification::compare_formula(const PublishedValue& row, const std::vector<FormulaCase>& cases,
                                   std::string_view model) {
  WETRUN_REQUIRE(std::isnan(row.value) && !cases.empty());
  WETRUN_REQUIRE(row.tolerance_kind == "abs" || row.tolerance_kind == "rel");
  const auto allowed = [&](const FormulaCase& each) {
    return row.tolerance_kind == "rel" ? row.tolerance * std::abs(each.published) : row.tolerance;
  };
  const auto error = [](const FormulaCase& each) { return each.computed - each.published; };
  const FormulaCase* worst = &cases.front();
  for (const FormulaCase& each : cases)
    if (!(std::abs(error(each)) / allowed(each) <= std::abs(error(*worst)) / allowed(*worst))) worst = &each;
  add({&row, worst->published, worst->computed, error(*worst), allowed(*worst), std::string(model),
       std::abs(error(*worst)) <= allowed(*worst), worst->inputs});
}

void Verification::leave(const PublishedValue& row, std::string_view reason) {
  claim(row);
  WETRUN_REQUIRE(!reason.empty());
  left_out_.push_back({&row, std::string(reason)});
}

std::vector<const PublishedValue*> Verification::forgotten() const {
  std::vector<const PublishedValue*> rows;
  for (const PublishedValue& each : published_values())
    if (!claimed_.contains(&each)) rows.push_back(&each);
  return rows;
}

std::size_t Verification::failures() const {
  return static_cast<std::size_t>(
      std::count_if(comparisons_.begin(), comparisons_.end(), [](const Comparison& each) { return !each.holds; }));
}

Verification verify_all() {
  Verification all;
  verify_dissociation_constants(all);
  verify_dissolution_solubility(all);
  verify_filtration(all);
  verify_hydraulics(all);
  verify_membranes(all);
  verify_mixing(all);
  verify_motor_thermal(all);
  verify_network(all);
  verify_ph_electrode(all);
  verify_ph_standards(all);
  verify_solution_heats_densities(all);
  verify_water_properties(all);
  return all;
}

}  // namespace wetrun
