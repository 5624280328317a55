#include "engine/core/error.h"

#include <fmt/format.h>

#include <cstdio>
#include <cstdlib>

#include "engine/core/text.h"

namespace wetrun {
namespace {

constexpr std::size_t longest_part = 600;  // of the place, of what is wrong and of what would be right

/// Whatever a file or a command line holds, its quotation is bounded, is UTF-8, ends no line, and moves no terminal.
std::string part(std::string text) {
  for (char& c : text)
    if (c == '\n' || c == '\r' || c == '\t') c = ' ';
  return shown(text, longest_part);
}

std::string one_line(const SourcePos& where, const std::string& wrong, const std::string& right) {
  std::string text;
  if (!where.file.empty()) {
    text = part(where.file);
    if (where.line > 0) text += fmt::format(":{}:{}", where.line, where.column > 0 ? where.column : 1);
    text += ": ";
  }
  text += part(wrong);
  if (!right.empty()) text += "; " + part(right);
  return text;
}

}  // namespace

InputError::InputError(const SourcePos& where, const std::string& wrong, const std::string& right)
    : std::runtime_error(one_line(where, wrong, right)), where_(where), wrong_(wrong), right_(right) {}

InputError::InputError(const std::string& wrong, const std::string& right) : InputError(SourcePos{}, wrong, right) {}

NumericsError::NumericsError(const std::string& place, int iterations, double residual, const std::string& unit)
    : std::runtime_error(
          fmt::format("{}: no solution after {} iterations, residual {:.3g} {}", place, iterations, residual, unit)) {}

void stop_for_bug(const char* file, int line, const char* condition) {
  std::fprintf(stderr, "wetrun: internal error at %s:%d: %s does not hold\n", file, line, condition);
  std::abort();
}

}  // namespace wetrun
