// The pH a membrane or stack bears at a temperature: limits at a few temperatures, straight lines between them.
//
// Colder than the first row the first row holds; hotter than the last row no pH is allowed. `outside` is how far a
// liquid is outside, in pH units; each 10 K above the last temperature counts as one unit (invented, to have one
// scale). Default rows (polyamide elements, common practice, no source; the tighter of two makers' families):
//   25 degC pH 1-12, 35 degC pH 2-11.5, 45 degC pH 2-10.
// Errors: InputError when the rows do not rise or the limits cross.
// Test: tests/unit/array_envelope_test.cpp.
#pragma once
#include <vector>

#include "engine/file/table.h"

namespace wetrun {

class Envelope {
public:
  struct Row {
    double kelvin, ph_min, ph_max;
  };
  explicit Envelope(std::vector<Row> rows);
  static Envelope polyamide();
  /// Reads `temperature`, `ph_min`, `ph_max` (arrays of one length) from a table; `fallback` when there is none.
  static Envelope read(const Table& parent, const char* key, const Envelope& fallback);

  double ph_min(double kelvin) const;
  double ph_max(double kelvin) const;
  double outside(double ph, double kelvin) const;  // >= 0; 0 inside
  const std::vector<Row>& rows() const { return rows_; }

private:
  Row at(double kelvin) const;
  std::vector<Row> rows_;
};

}  // namespace wetrun
