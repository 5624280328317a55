// Published check values: tests/reference/data/*.csv, one value a row with its tolerance, source and provenance.
#pragma once
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <string>
#include <vector>

namespace wetrun::test {

struct ReferenceRow {
  std::string id, quantity, unit, conditions, tolerance_kind, source, provenance;
  double value = 0, kelvin = 298.15, tolerance = 0;

  bool starts_with(const std::string& prefix) const { return id.rfind(prefix, 0) == 0; }
  /// The tolerance as an absolute difference.
  double allowed() const { return tolerance_kind == "rel" ? tolerance * std::abs(value) : tolerance; }
  std::string label() const { return id + " (" + conditions + "; " + source + "; " + provenance + ")"; }
};

inline std::vector<std::string> split_csv_line(const std::string& line) {
  std::vector<std::string> cells(1);
  bool quoted = false;
  for (const char c : line) {
    if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      cells.emplace_back();
    } else {
      cells.back() += c;
    }
  }
  return cells;
}

/// All rows of a file, or those whose id starts with a prefix. An unreadable file or a short row fails the test.
inline std::vector<ReferenceRow> reference_rows(const std::string& file, const std::string& prefix = "") {
  std::ifstream in(std::string(WETRUN_SOURCE_DIR) + "/tests/reference/data/" + file);
  EXPECT_TRUE(in.good()) << file;
  std::vector<ReferenceRow> rows;
  std::string line;
  std::getline(in, line);  // header
  while (std::getline(in, line)) {
    const std::vector<std::string> c = split_csv_line(line);
    if (c.size() != 11) {
      ADD_FAILURE() << file << ": " << line;
      continue;
    }
    ReferenceRow r;
    r.id = c[0];
    r.quantity = c[1];
    r.value = std::strtod(c[2].c_str(), nullptr);
    r.unit = c[3];
    if (!c[4].empty()) r.kelvin = std::strtod(c[4].c_str(), nullptr);
    r.conditions = c[5];
    r.tolerance = std::strtod(c[6].c_str(), nullptr);
    r.tolerance_kind = c[7];
    r.source = c[8] + ", " + c[9];
    r.provenance = c[10];
    if (r.starts_with(prefix)) rows.push_back(r);
  }
  EXPECT_FALSE(rows.empty()) << file << " " << prefix;
  return rows;
}

}  // namespace wetrun::test
