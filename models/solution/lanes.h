// Where the constants of the solution stand, so that four of them are worked on at once.
//
// The forms of one ligand - free, and bound to calcium, magnesium and iron(III) - fill the four lanes of a row; a row
// holds the forms of one proton number p. The charge in a row of a ligand of charge z_l is  e + {0, 2, 2, 3},  e = z_l +
// p. The metals' own rows (z_l = 0, p from -4 to 0) carry silica in the lane that a free ligand has. Forms that do not
// exist have K = 0. Lanes are GCC vectors: every lane gives the bits that a plain double would.
#pragma once
#include <array>
#include <cstddef>

#include "models/solution/constants.h"
#include "models/solution/forms.h"

namespace wetrun {

using Lanes = double __attribute__((vector_size(32)));
constexpr std::size_t lane_count = 4;
constexpr std::size_t lane_free = 0, lane_calcium = 1, lane_magnesium = 2, lane_iron = 3;

/// A family of rows: its first row, its range of protons, the charge of its ligand.
struct Family {
  std::size_t row;
  int low, high, charge;
  constexpr std::size_t next_row() const { return row + static_cast<std::size_t>(high - low + 1); }
};
namespace family {
inline constexpr Family metals{0, -4, 0, 0};
inline constexpr Family carbonate{metals.next_row(), 0, 2, -2};
inline constexpr Family citrate{carbonate.next_row(), 0, 3, -3};
inline constexpr Family sulfate{citrate.next_row(), 0, 1, -2};
inline constexpr Family phosphate{sulfate.next_row(), 0, 3, -3};
inline constexpr Family edta{phosphate.next_row(), -2, 5, -4};
inline constexpr Family hypochlorite{edta.next_row(), 0, 1, -1};
inline constexpr Family ammonia{hypochlorite.next_row(), 0, 1, 0};
}  // namespace family

/// After the rows: single constants, the density of water and the Davies slope.
enum Single : std::size_t {
  single_water = family::ammonia.next_row() * lane_count,
  single_chlorine,
  single_sodium_edta,
  single_density,
  single_davies,
  column_end,
  column_count = (column_end + lane_count - 1) / lane_count * lane_count
};

constexpr Constant no_constant = static_cast<Constant>(constant_count + 1);  // K = 0; constant_count: K = 1

namespace detail {

using Columns = std::array<Constant, column_count>;

template <std::size_t n>
constexpr void put(Columns& c, const Family& f, std::size_t lane, const std::array<Form, n>& list) {
  for (const Form& form : list)
    c[(f.row + static_cast<std::size_t>(form.protons - f.low)) * lane_count + lane] = form.constant;
}

}  // namespace detail

/// The constant in each column.
constexpr detail::Columns constant_columns = [] {
  detail::Columns c;
  c.fill(no_constant);
  using detail::put;
  put(c, family::metals, lane_free, forms::silica);
  put(c, family::metals, lane_calcium, forms::calcium);
  put(c, family::metals, lane_magnesium, forms::magnesium);
  put(c, family::metals, lane_iron, forms::iron);
  put(c, family::carbonate, lane_free, forms::carbonate);
  put(c, family::carbonate, lane_calcium, forms::ca_carbonate);
  put(c, family::carbonate, lane_magnesium, forms::mg_carbonate);
  put(c, family::citrate, lane_free, forms::citrate);
  put(c, family::citrate, lane_calcium, forms::ca_citrate);
  put(c, family::citrate, lane_magnesium, forms::mg_citrate);
  put(c, family::citrate, lane_iron, forms::fe_citrate);
  put(c, family::sulfate, lane_free, forms::sulfate);
  put(c, family::sulfate, lane_calcium, forms::ca_sulfate);
  put(c, family::sulfate, lane_magnesium, forms::mg_sulfate);
  put(c, family::sulfate, lane_iron, forms::fe_sulfate);
  put(c, family::phosphate, lane_free, forms::phosphate);
  put(c, family::phosphate, lane_calcium, forms::ca_phosphate);
  put(c, family::phosphate, lane_magnesium, forms::mg_phosphate);
  put(c, family::phosphate, lane_iron, forms::fe_phosphate);
  put(c, family::edta, lane_free, forms::edta);
  put(c, family::edta, lane_calcium, forms::ca_edta);
  put(c, family::edta, lane_magnesium, forms::mg_edta);
  put(c, family::edta, lane_iron, forms::fe_edta);
  put(c, family::hypochlorite, lane_free, forms::hypochlorite);
  put(c, family::ammonia, lane_free, forms::ammonia);
  c[single_water] = k_water;
  c[single_chlorine] = k_cl2;
  c[single_sodium_edta] = k_nay;
  return c;
}();

/// The column of each constant, with the two properties behind them in the order of ConstantSet.
constexpr std::array<std::size_t, constant_count + 2> column_of_constant = [] {
  std::array<std::size_t, constant_count + 2> column{};
  column[constant_count] = single_density;
  column[constant_count + 1] = single_davies;
  for (std::size_t i = 0; i < column_count; ++i)
    if (constant_columns[i] < constant_count) column[constant_columns[i]] = i;
  return column;
}();
static_assert([] {  // every constant has its column
  for (std::size_t k = 0; k < constant_count; ++k)
    if (constant_columns[column_of_constant[k]] != k) return false;
  return true;
}());

/// The columns at one temperature: read as cubics, whole rows at a time.
struct ColumnPlace {
  const double* first;
  double t;
  double single(std::size_t column) const {
    const double* c = first + column;
    return ((c[3 * column_count] * t + c[2 * column_count]) * t + c[column_count]) * t + c[0];
  }
  void row(std::size_t index, Lanes& k) const {
    using Unaligned = double __attribute__((vector_size(32), aligned(8), may_alias));
    const auto* c = reinterpret_cast<const Unaligned*>(first + index * lane_count);
    constexpr std::size_t rows = column_count / lane_count;
    k = ((c[3 * rows] * t + c[2 * rows]) * t + c[rows]) * t + c[0];
  }
};
ColumnPlace columns_at(double kelvin);

}  // namespace wetrun
