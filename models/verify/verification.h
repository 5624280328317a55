// What the models compute beside what others have published (models/verify/published.h). One file a table: it says for each
// row which equation of the program is asked, or why none can be. Nothing here is a simulation's input.
#pragma once
#include <string>
#include <string_view>
#include <unordered_set>
#include <vector>

#include "models/verify/published.h"

namespace wetrun {

/// A published value and the program's own, in the same unit.
struct Comparison {
  const PublishedValue* published = nullptr;
  double value = 0;  // published; where that is a formula, what it gives for the inputs
  double computed = 0;
  double error = 0;    // computed - published
  double allowed = 0;  // largest size of the error; for a limit (`bound`) how far it may be on the wrong side: 0
  std::string model;   // file and function whose equation was asked
  bool holds = false;
  std::string inputs;  // of a formula: those of the case that agrees least
};

/// What a published formula gives for some inputs, and what the program does.
struct FormulaCase {
  std::string inputs;
  double published = 0, computed = 0;
};

/// A published value that is not compared, and why.
struct LeftOut {
  const PublishedValue* published = nullptr;
  std::string reason;
};

class Verification {
public:
  /// The rows of a table, or those whose id starts with `prefix`. A table or a prefix that has none is a bug.
  std::vector<const PublishedValue*> rows(std::string_view table, std::string_view prefix = "") const;
  const PublishedValue& row(std::string_view id) const;

  /// Each row is compared or left out once; a second time is a bug. `model`: "models/water/water.h, water_density_kg_m3".
  void compare(const PublishedValue& row, double computed, std::string_view model);
  /// For rows that are limits.
  void at_least(const PublishedValue& row, double computed, std::string_view model);
  void at_most(const PublishedValue& row, double computed, std::string_view model);
  /// For rows that are formulas: the case that agrees least is kept.
  void compare_formula(const PublishedValue& row, const std::vector<FormulaCase>& cases, std::string_view model);
  /// One sentence: what the models do not compute, or whose range the row is outside of.
  void leave(const PublishedValue& row, std::string_view reason);

  const std::vector<Comparison>& comparisons() const { return comparisons_; }
  const std::vector<LeftOut>& left_out() const { return left_out_; }
  /// Rows that nobody has compared or left out.
  std::vector<const PublishedValue*> forgotten() const;
  std::size_t failures() const;

private:
  void add(const PublishedValue& row, double computed, std::string_view model, double allowed, bool holds);
  void add(Comparison comparison);
  void claim(const PublishedValue& row);
  std::unordered_set<const PublishedValue*> claimed_;
  std::vector<Comparison> comparisons_;
  std::vector<LeftOut> left_out_;
};

// One function a table.
void verify_dissociation_constants(Verification& to);
void verify_dissolution_solubility(Verification& to);
void verify_filtration(Verification& to);
void verify_hydraulics(Verification& to);
void verify_membranes(Verification& to);
void verify_mixing(Verification& to);
void verify_motor_thermal(Verification& to);
void verify_network(Verification& to);
void verify_ph_electrode(Verification& to);
void verify_ph_standards(Verification& to);
void verify_solution_heats_densities(Verification& to);
void verify_water_properties(Verification& to);

/// All tables, in this order.
Verification verify_all();

}  // namespace wetrun
