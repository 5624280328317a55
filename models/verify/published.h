// Values that others have published, with where they come from: the tables of tests/reference/published, built into the
// program so that it can show them wherever it is installed.
#pragma once
#include <cmath>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

namespace wetrun {

/// One published value: a row of a table. SI units, but valve coefficients (m3/h at 1 bar) and pH, which are defined by theirs.
struct PublishedValue {
  std::string table;                                            // file name without its ending
  std::string id;                                               // unique over all tables
  std::string quantity;                                         // what it is
  std::string conditions;                                       // inputs of the case
  std::string equation;                                         // the relation used; "" where it is a measurement
  std::string unit;                                             // "1" without dimension
  std::string source;                                           // author, year, publication
  std::string location;                                         // table, equation, page
  std::string provenance;                                       // "seen: copy that was read" or "from memory"
  std::string text;                                             // the value as it stands in the table
  double value = std::numeric_limits<double>::quiet_NaN();      // NaN where the row holds a formula or words
  double kelvin = std::numeric_limits<double>::quiet_NaN();     // NaN where it does not matter
  double tolerance = std::numeric_limits<double>::quiet_NaN();  // NaN: the table calls for no comparison
  std::string tolerance_kind;                                   // abs, rel, bound, definition or ""

  bool seen() const { return provenance.rfind("seen", 0) == 0; }
  bool starts_with(std::string_view prefix) const { return id.rfind(prefix, 0) == 0; }
  /// The tolerance as a difference: `rel` is a share of the value. NaN without one.
  double allowed() const { return tolerance_kind == "rel" ? tolerance * std::abs(value) : tolerance; }
};

/// All rows of all tables, in order. A built-in table that cannot be read is a bug.
const std::vector<PublishedValue>& published_values();

}  // namespace wetrun
