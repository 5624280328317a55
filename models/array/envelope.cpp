#include "models/array/envelope.h"

#include <algorithm>
#include <optional>

namespace wetrun {

Envelope::Envelope(std::vector<Row> rows) : rows_(std::move(rows)) {
  if (rows_.empty()) throw InputError("the envelope has no rows", "at least one temperature with its pH limits");
  for (std::size_t i = 0; i < rows_.size(); ++i) {
    if (!(rows_[i].ph_min < rows_[i].ph_max))
      throw InputError("ph_min is not below ph_max", "a lower limit below the upper");
    if (i > 0 && !(rows_[i].kelvin > rows_[i - 1].kelvin)) {
      throw InputError("the envelope's temperatures do not rise", "temperatures in rising order");
    }
  }
}

Envelope Envelope::polyamide() { return Envelope({{298.15, 1, 12}, {308.15, 2, 11.5}, {318.15, 2, 10}}); }

Envelope Envelope::read(const Table& parent, const char* key, const Envelope& fallback) {
  const std::optional<Table> table = parent.table_if(key);
  if (!table) return fallback;
  const auto kelvin = table->quantities("temperature", "K", {273.15, 373.15});
  const auto low = table->quantities("ph_min", "pH", {-1, 15});
  const auto high = table->quantities("ph_max", "pH", {-1, 15});
  if (low.size() != kelvin.size()) throw table->error("ph_min", "has not one entry for each temperature", "one each");
  if (high.size() != kelvin.size()) throw table->error("ph_max", "has not one entry for each temperature", "one each");
  std::vector<Row> rows;
  for (std::size_t i = 0; i < kelvin.size(); ++i) rows.push_back({kelvin[i], low[i], high[i]});
  try {
    return Envelope(std::move(rows));
  } catch (const InputError& wrong) {
    throw wrong.at(table->where());
  }
}

Envelope::Row Envelope::at(double kelvin) const {
  if (kelvin <= rows_.front().kelvin) return rows_.front();
  for (std::size_t i = 1; i < rows_.size(); ++i) {
    const Row &a = rows_[i - 1], &b = rows_[i];
    if (kelvin > b.kelvin) continue;
    const double s = (kelvin - a.kelvin) / (b.kelvin - a.kelvin);
    return {kelvin, a.ph_min + s * (b.ph_min - a.ph_min), a.ph_max + s * (b.ph_max - a.ph_max)};
  }
  return rows_.back();
}

double Envelope::ph_min(double kelvin) const { return at(kelvin).ph_min; }
double Envelope::ph_max(double kelvin) const { return at(kelvin).ph_max; }

double Envelope::outside(double ph, double kelvin) const {
  const Row row = at(kelvin);
  const double hot = std::max(kelvin - rows_.back().kelvin, 0.0) / 10.0;
  return std::max({row.ph_min - ph, ph - row.ph_max, 0.0}) + hot;
}

}  // namespace wetrun
