// The order in which the constants stand in their table: by the substance they are needed for, in rows of four, so that
// whole rows are read at once and rows of absent substances are left out.
#pragma once
#include <array>
#include <cstddef>

#include "models/solution/constants.h"

namespace wetrun {

/// Four numbers worked on at once (a GCC vector: every lane gives the bits that a plain double would).
using Lanes = double __attribute__((vector_size(32)));
constexpr std::size_t lane_count = 4;

/// First row of each block.
enum Row : std::size_t {
  row_base,
  row_carbonate = 3,
  row_citrate = 5,
  row_sulfate = 8,
  row_phosphate = 9,
  row_edta = 12,
  row_weak = 16,  // hypochlorite and ammonia
  row_count = 17
};

constexpr Constant column_empty = static_cast<Constant>(constant_count + 2);
constexpr std::size_t density_column = 1, davies_column = 2, column_count = row_count * lane_count;

// clang-format off
/// What stands in each column; `constant_count` and one more are density and Davies slope.
constexpr std::array<Constant, column_count> column_constant = {
    k_water, constant_count, static_cast<Constant>(constant_count + 1), k_h3sio4,
    k_h2sio4, k_caoh, k_mgoh, k_feoh,
    k_feoh2, k_feoh3, k_feoh4, column_empty,
    k_hco3, k_h2co3, k_caco3, k_cahco3,
    k_mgco3, k_mghco3, column_empty, column_empty,
    k_hcit, k_h2cit, k_h3cit, k_cacit,
    k_cahcit, k_cah2cit, k_mgcit, k_mghcit,
    k_mgh2cit, k_fecit, k_fehcit, column_empty,
    k_hso4, k_caso4, k_mgso4, k_feso4,
    k_hpo4, k_h2po4, k_h3po4, k_capo4,
    k_cahpo4, k_cah2po4, k_mgpo4, k_mghpo4,
    k_mgh2po4, k_fehpo4, k_feh2po4, column_empty,
    k_hy, k_h2y, k_h3y, k_h4y,
    k_h5y, k_cay, k_cahy, k_mgy,
    k_mghy, k_fey, k_fehy, k_feohy,
    k_feoh2y, k_nay, column_empty, column_empty,
    k_hocl, k_cl2, k_nh4, column_empty,
};
// clang-format on

/// The column of each constant, density and Davies slope behind them as in ConstantSet.
constexpr std::array<std::size_t, constant_count + 2> column_of = [] {
  std::array<std::size_t, constant_count + 2> column{};
  for (std::size_t i = 0; i < column_count; ++i)
    if (column_constant[i] != column_empty) column[column_constant[i]] = i;
  return column;
}();
static_assert([] {  // each has one
  for (std::size_t k = 0; k < column_of.size(); ++k)
    if (column_constant[column_of[k]] != k) return false;
  return column_of[constant_count] == density_column && column_of[constant_count + 1] == davies_column;
}());

/// Lanes at the address of any double. Not `using`: Clang would not heed the alignment.
typedef double UnalignedLanes __attribute__((vector_size(32), aligned(8), may_alias));
static_assert(alignof(UnalignedLanes) == alignof(double));

/// The table at one temperature: column i is a cubic in t (TemperatureTable::Place).
struct ColumnPlace {
  const double* first;
  double t;
  double column(std::size_t i) const {
    const double* c = first + i;
    return ((c[3 * column_count] * t + c[2 * column_count]) * t + c[column_count]) * t + c[0];
  }
  void row(std::size_t i, Lanes& k) const {
    const auto* c = reinterpret_cast<const UnalignedLanes*>(first + i * lane_count);
    k = ((c[3 * row_count] * t + c[2 * row_count]) * t + c[row_count]) * t + c[0];
  }
};
ColumnPlace columns_at(double kelvin);

}  // namespace wetrun
