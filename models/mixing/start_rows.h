// The rows of what speciation keeps between calls (models/solution/solution.h), for a unit's table of aux numbers.
#pragma once
#include <string>
#include <vector>

#include "engine/step/unit_model.h"
#include "models/solution/solution.h"

namespace wetrun {

/// Appends start_count rows: "<ph>" and, after it, "<ph>_ionic_strength" and so on.
inline void add_start_rows(std::vector<NumberInfo>& aux, const std::string& ph, const std::string& doc) {
  aux.push_back({ph, "pH", 7, doc});
  for (const char* word : {"_ionic_strength", "_free_calcium", "_free_magnesium", "_free_iron"})
    aux.push_back({ph + word, "1", 0, "start of the next speciation"});
}

/// Those numbers from a place in aux on.
inline SpeciationStart start_at(std::span<double> aux, std::size_t first) {
  return SpeciationStart(aux.data() + first, start_count);
}

}  // namespace wetrun
