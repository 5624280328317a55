#include "models/verify/published.h"

#include <charconv>

#include "engine/core/error.h"
#include "models/verify/published_tables.h"

namespace wetrun {
namespace {

/// The fields of a line of CSV (RFC 4180, no line breaks inside a field).
std::vector<std::string> fields(std::string_view line) {
  std::vector<std::string> found(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (c == '"' && quoted && i + 1 < line.size() && line[i + 1] == '"') {
      found.back() += line[++i];
    } else if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      found.emplace_back();
    } else {
      found.back() += c;
    }
  }
  return found;
}

double number(const std::string& text) {
  double value = 0;
  const char* end = text.data() + text.size();
  const auto [rest, error] = std::from_chars(text.data(), end, value);
  return error == std::errc() && rest == end ? value : std::numeric_limits<double>::quiet_NaN();
}

void add_table(const PublishedTable& table, std::vector<PublishedValue>& to) {
  bool heading = true;
  for (std::string_view rest = table.csv; !rest.empty();) {
    const std::size_t end = rest.find('\n');
    const std::vector<std::string> f = fields(rest.substr(0, end));
    rest = end == std::string_view::npos ? std::string_view() : rest.substr(end + 1);
    WETRUN_REQUIRE(f.size() == 12);
    if (heading) {
      WETRUN_REQUIRE(f[0] == "id" && f[2] == "value" && f[7] == "tolerance" && f[11] == "provenance");
      heading = false;
      continue;
    }
    to.push_back({.table = std::string(table.name),
                  .id = f[0],
                  .quantity = f[1],
                  .conditions = f[5],
                  .equation = f[6],
                  .unit = f[3],
                  .source = f[9],
                  .location = f[10],
                  .provenance = f[11],
                  .text = f[2],
                  .value = number(f[2]),
                  .kelvin = number(f[4]),
                  .tolerance = number(f[7]),
                  .tolerance_kind = f[8]});
  }
}

}  // namespace

const std::vector<PublishedValue>& published_values() {
  static const std::vector<PublishedValue> all = [] {
    std::vector<PublishedValue> values;
    for (const PublishedTable& table : published_tables()) add_table(table, values);
    return values;
  }();
  return all;
}

}  // namespace wetrun
