// The species of the solution, as pools: all forms of one substance that differ only by protons.
//
// A form's concentration is  c = K a h^p g^(z^2)  with a the activity of the pool's master species, h = a(H+), p its
// protons (negative: lost to hydrolysis), z its charge and g = 1/gamma_1 = exp(phi), phi = A ln10 f(I) (Davies). Inside
// a pool z = z0 + p, so the moments of z hold every derivative:  d ln w / d ln h = p = z - z0  and  d ln w / d phi =
// z^2.
#pragma once
#include <array>
#include <cstddef>
#include <utility>

#include "models/solution/constants.h"

namespace wetrun {

struct Form {
  Constant constant;  // constant_count: K = 1
  int protons;
  int charge;
};

/// Powers of h (from h^-4 to h^5) and of g^(z^2) by |z|.
struct Powers {
  std::array<double, 10> h;
  std::array<double, 5> g;
  double of(const Form& f, const ConstantSet& k) const {
    const double w =
        h[static_cast<std::size_t>(f.protons + 4)] * g[static_cast<std::size_t>(f.charge < 0 ? -f.charge : f.charge)];
    return f.constant == constant_count ? w : w * k[f.constant];
  }
};

inline Powers powers_of(double h, double g) {
  Powers p;
  p.h[4] = 1;
  const double inverse = 1 / h;
  for (std::size_t i = 5; i < 10; ++i) p.h[i] = p.h[i - 1] * h;
  for (std::size_t i = 4; i > 0; --i) p.h[i - 1] = p.h[i] * inverse;
  const double g2 = g * g, g4 = g2 * g2, g8 = g4 * g4;
  p.g = {1, g, g4, g8 * g, g8 * g8};
  return p;
}

/// Sum of the weights of a pool, and mean z, z^2, z^3, z^4, |z| of its forms.
struct Pool {
  double sum, z, zz, zzz, zzzz, abs_z;
};

namespace detail {

// One form, its numbers known at compile time.
template <const auto& list, std::size_t i>
inline void add_form(Pool& p, const Powers& powers, const ConstantSet& k) {
  constexpr Form f = list[i];
  constexpr double z = f.charge, size = f.charge < 0 ? -z : z;
  const double w = powers.of(f, k);
  p.sum += w;
  if constexpr (f.charge != 0) {
    p.z += w * z;
    p.zz += w * (z * z);
    p.zzz += w * (z * z * z);
    p.zzzz += w * (z * z * z * z);
    p.abs_z += w * size;
  }
}

template <const auto& list, std::size_t... i>
inline void add_forms(Pool& p, const Powers& powers, const ConstantSet& k, std::index_sequence<i...>) {
  (add_form<list, i>(p, powers, k), ...);
}

}  // namespace detail

/// The pool of a list of forms at the given powers of h and g.
template <const auto& list>
inline Pool pool_of(const Powers& powers, const ConstantSet& k) {
  Pool p{0, 0, 0, 0, 0, 0};
  detail::add_forms<list>(p, powers, k, std::make_index_sequence<list.size()>{});
  const double inverse = 1 / p.sum;
  p.z *= inverse;
  p.zz *= inverse;
  p.zzz *= inverse;
  p.zzzz *= inverse;
  p.abs_z *= inverse;
  return p;
}

namespace forms {

constexpr Constant unity = constant_count;
inline constexpr std::array<Form, 0> none{};

// Ligands and the two substances that meet no metal.
inline constexpr std::array<Form, 3> carbonate{{{unity, 0, -2}, {k_hco3, 1, -1}, {k_h2co3, 2, 0}}};
inline constexpr std::array<Form, 4> citrate{{{unity, 0, -3}, {k_hcit, 1, -2}, {k_h2cit, 2, -1}, {k_h3cit, 3, 0}}};
inline constexpr std::array<Form, 4> phosphate{{{unity, 0, -3}, {k_hpo4, 1, -2}, {k_h2po4, 2, -1}, {k_h3po4, 3, 0}}};
inline constexpr std::array<Form, 6> edta{
    {{unity, 0, -4}, {k_hy, 1, -3}, {k_h2y, 2, -2}, {k_h3y, 3, -1}, {k_h4y, 4, 0}, {k_h5y, 5, 1}}};
inline constexpr std::array<Form, 2> sulfate{{{unity, 0, -2}, {k_hso4, 1, -1}}};
inline constexpr std::array<Form, 2> hypochlorite{{{unity, 0, -1}, {k_hocl, 1, 0}}};
inline constexpr std::array<Form, 2> ammonia{{{unity, 0, 0}, {k_nh4, 1, 1}}};
inline constexpr std::array<Form, 3> silica{{{unity, 0, 0}, {k_h3sio4, -1, -1}, {k_h2sio4, -2, -2}}};

// Metals (chloride stands among them as the partner of hypochlorite in Cl2).
inline constexpr std::array<Form, 2> calcium{{{unity, 0, 2}, {k_caoh, -1, 1}}};
inline constexpr std::array<Form, 2> magnesium{{{unity, 0, 2}, {k_mgoh, -1, 1}}};
inline constexpr std::array<Form, 5> iron{
    {{unity, 0, 3}, {k_feoh, -1, 2}, {k_feoh2, -2, 1}, {k_feoh3, -3, 0}, {k_feoh4, -4, -1}}};
inline constexpr std::array<Form, 1> sodium{{{unity, 0, 1}}};
inline constexpr std::array<Form, 1> chloride{{{unity, 0, -1}}};

// Complexes, one metal with one ligand.
inline constexpr std::array<Form, 2> ca_carbonate{{{k_caco3, 0, 0}, {k_cahco3, 1, 1}}};
inline constexpr std::array<Form, 3> ca_citrate{{{k_cacit, 0, -1}, {k_cahcit, 1, 0}, {k_cah2cit, 2, 1}}};
inline constexpr std::array<Form, 3> ca_phosphate{{{k_capo4, 0, -1}, {k_cahpo4, 1, 0}, {k_cah2po4, 2, 1}}};
inline constexpr std::array<Form, 2> ca_edta{{{k_cay, 0, -2}, {k_cahy, 1, -1}}};
inline constexpr std::array<Form, 1> ca_sulfate{{{k_caso4, 0, 0}}};
inline constexpr std::array<Form, 2> mg_carbonate{{{k_mgco3, 0, 0}, {k_mghco3, 1, 1}}};
inline constexpr std::array<Form, 3> mg_citrate{{{k_mgcit, 0, -1}, {k_mghcit, 1, 0}, {k_mgh2cit, 2, 1}}};
inline constexpr std::array<Form, 3> mg_phosphate{{{k_mgpo4, 0, -1}, {k_mghpo4, 1, 0}, {k_mgh2po4, 2, 1}}};
inline constexpr std::array<Form, 2> mg_edta{{{k_mgy, 0, -2}, {k_mghy, 1, -1}}};
inline constexpr std::array<Form, 1> mg_sulfate{{{k_mgso4, 0, 0}}};
inline constexpr std::array<Form, 2> fe_citrate{{{k_fecit, 0, 0}, {k_fehcit, 1, 1}}};
inline constexpr std::array<Form, 2> fe_phosphate{{{k_fehpo4, 1, 1}, {k_feh2po4, 2, 2}}};
inline constexpr std::array<Form, 4> fe_edta{{{k_fey, 0, -1}, {k_fehy, 1, 0}, {k_feohy, -1, -2}, {k_feoh2y, -2, -3}}};
inline constexpr std::array<Form, 1> fe_sulfate{{{k_feso4, 0, 1}}};
inline constexpr std::array<Form, 1> na_edta{{{k_nay, 0, -3}}};
inline constexpr std::array<Form, 1> chlorine{{{k_cl2, 2, 0}}};

}  // namespace forms
}  // namespace wetrun
