// How much of a unit of measure counts as something on a cleaning skid: what differences of small values are measured by.
#pragma once
#include <map>
#include <string>
#include <string_view>

namespace wetrun::test {

inline double something_of(std::string_view unit) {
  static const std::map<std::string, double, std::less<>> least = {
      {"Pa", 1e3},     // 10 mbar
      {"m3/s", 1e-5},  // 36 L/h
      {"m3", 1e-2},   {"K", 1}, {"J", 1e5}, {"W", 100}, {"kg", 1e-2}, {"mol", 0.1}, {"pH", 1}, {"V", 1e-2}, {"s", 1}};
  const auto found = least.find(unit);
  return found == least.end() ? 1e-2 : found->second;
}

}  // namespace wetrun::test
