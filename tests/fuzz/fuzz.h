// What the fuzz targets share. A target reads bytes from outside as the program would and stops (WETRUN_REQUIRE, a
// sanitizer, an exception of a kind that is none of the three of DEVELOPERS.md) when what is promised does not hold.
//
// A target is one file: it defines LLVMFuzzerTestOneInput and calls accepted() for what the reader took. Clang links it
// with libFuzzer; every compiler links it with replay.cpp, which runs it over files.
#pragma once
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "engine/core/error.h"
#include "engine/core/text.h"
#include "engine/step/simulation.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

namespace wetrun::fuzz {

/// Inputs so far that were not refused. A corpus of which nothing is accepted tests nothing.
inline std::size_t accepted_count = 0;
inline void accepted() { ++accepted_count; }

inline std::string text_of(const std::uint8_t* data, std::size_t size) {
  return {reinterpret_cast<const char*>(data), size};
}

/// The parts of a text between separators: at least one.
inline std::vector<std::string> split(std::string_view text, std::string_view separator) {
  std::vector<std::string> parts;
  for (;;) {
    const std::size_t end = text.find(separator);
    parts.emplace_back(text.substr(0, end));
    if (end == std::string_view::npos) return parts;
    text.remove_prefix(end + separator.size());
  }
}

/// One line of UTF-8 that fits a terminal, whatever it quotes.
inline void require_one_line(std::string_view text) {
  constexpr std::size_t longest = 2000;
  std::size_t bad = 0;
  WETRUN_REQUIRE(!text.empty() && text.size() <= longest && is_utf8(text, bad));
  for (const char c : text) WETRUN_REQUIRE(static_cast<unsigned char>(c) >= 0x20 && c != 0x7f);
}

/// Where a complaint has to say it is.
enum class Placed { anywhere, in_file, at_line };

inline void require_complaint(const InputError& error, Placed placed) {
  require_one_line(error.what());
  WETRUN_REQUIRE(!error.wrong().empty() && !error.right().empty());
  const SourcePos& where = error.where();
  if (placed != Placed::anywhere) WETRUN_REQUIRE(!where.file.empty());
  if (placed == Placed::at_line) WETRUN_REQUIRE(where.line >= 1 && where.column >= 1);
}

/// True when `read` takes its input, false when it refuses it with a proper complaint.
template <class Read>
bool takes(Placed placed, const Read& read) {
  try {
    read();
    return true;
  } catch (const InputError& error) {
    require_complaint(error, placed);
    return false;
  }
}

inline void require_numbers(const Simulation& simulation) {
  for (const double value : simulation.x()) WETRUN_REQUIRE(std::isfinite(value));
  for (const double value : simulation.picture().value) WETRUN_REQUIRE(std::isfinite(value));
}

/// `step`, some times, and a look at every number after each. False when a solve gives up: a status, and no defect.
template <class Step>
bool goes_on(const Simulation& simulation, int steps, const Step& step) {
  for (int k = 0; k < steps; ++k) {
    try {
      step();
    } catch (const NumericsError& error) {
      require_one_line(error.what());
      return false;
    }
    require_numbers(simulation);
  }
  return true;
}

/// The same of a bare simulation.
inline bool goes_on(Simulation& simulation, int steps) {
  return goes_on(simulation, steps, [&] { simulation.step(); });
}

}  // namespace wetrun::fuzz
