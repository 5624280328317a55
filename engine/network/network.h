// Pressure-flow network of an incompressible liquid: nodes with pressure and elevation, links with a law.
//
// Unknowns: pressure p [Pa, gauge] of every junction and flow q [m3/s] of every link (positive from node a to node b).
//   continuity at each junction:  sum of q into it = 0
//   momentum on each link:        p_a - p_b + rho g (z_a - z_b) = drop(q, p_a)
// Solved together by Newton's method in the form of Todini & Pilati (1988), "A gradient algorithm for the analysis of
// pipe networks", in Coulbeck & Orr (eds.), Computer Applications in Water Supply, vol. 1: each iteration solves a
// linear system for the pressures and updates the flows, so continuity holds to round-off after every iteration.
// The network knows graphs and laws, not equipment.
#pragma once
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "engine/core/error.h"
#include "engine/core/ids.h"

namespace wetrun {

constexpr double gravity_m_s2 = 9.80665;    // standard gravity, CGPM 1901
constexpr double atmosphere_pa = 101325.0;  // standard atmosphere; gauge + this = absolute

/// Liquid in a link.
struct Fluid {
  double density_kg_m3 = 998.2;
  double viscosity_pa_s = 1.002e-3;
};

/// Pressure drop of a link at a flow, with slopes. slope_flow must be > 0 and finite everywhere, also at zero flow;
/// slope_pressure (= d drop / d p_a) must be <= 0, and is 0 for all but starved pumps.
struct LinkEval {
  double drop_pa = 0;
  double slope_flow = 1;      // Pa / (m3/s)
  double slope_pressure = 0;  // Pa / Pa
};

/// The law of a link. Const: what changes (opening, speed, blockage) comes in `settings`, whose meaning and order the
/// law's header documents. `p_a_pa` is the gauge pressure at node a (a pump starves by it).
class LinkLaw {
public:
  virtual ~LinkLaw() = default;
  virtual LinkEval eval(double flow_m3_s, double p_a_pa, const Fluid& fluid,
                        std::span<const double> settings) const = 0;
  /// True if the drop does not depend on p_a, and bends gradually with flow: away from rest |d slope_flow / dq| is no
  /// more than 16 slope_flow / |q|, as it is with powers of the flow and rounded corners between them. Where the tangent is
  /// as good as the law, the solver then does not ask again.
  virtual bool gradual() const { return false; }
  /// Number of settings, and their values in a fresh network.
  virtual std::vector<double> default_settings() const { return {}; }
};

/// The graph: built once, then const. Node pressures, link flows and settings live outside (NetworkState).
class Network {
public:
  NodeId add_junction(std::string name, double elevation_m);
  /// A node whose pressure somebody gives (tank nozzle, header, atmosphere).
  NodeId add_boundary(std::string name, double elevation_m);
  LinkId add_link(std::string name, NodeId a, NodeId b, std::shared_ptr<const LinkLaw> law);
  /// A link whose flow somebody gives (weir, falling leg, dosing). It takes part in continuity, not in momentum.
  LinkId add_given_flow(std::string name, NodeId a, NodeId b);
  /// Call once after building: fixes the elimination order. Throws InputError naming a junction that no chain of
  /// links with a law joins to a boundary, or a duplicate name.
  void finish();

  struct Node {
    std::string name;
    double elevation_m;
    bool junction;
  };
  struct Link {
    std::string name;
    NodeId a, b;
    std::shared_ptr<const LinkLaw> law;
    std::size_t first_setting, settings;
  };
  const std::vector<Node>& nodes() const { return nodes_; }
  const std::vector<Link>& links() const { return links_; }
  NodeId find_node(std::string_view name) const;  // invalid if unknown
  LinkId find_link(std::string_view name) const;

private:
  friend struct NetworkSolver;
  std::vector<Node> nodes_;
  std::vector<Link> links_;
  std::size_t settings_ = 0;
  struct Plan;  // elimination order and sparsity, made by finish()
  std::shared_ptr<const Plan> plan_;
};

/// All numbers of a network: inputs (boundary pressures, given flows, settings, fluids) and the solution, which is also
/// the warm start of the next solve and therefore part of a snapshot.
struct NetworkState {
  explicit NetworkState(const Network& network);
  NetworkState() = default;
  std::vector<double> pressure_pa;  // by node; boundaries are inputs, junctions are solved
  std::vector<double> flow_m3_s;    // by link; given flows are inputs, the others are solved
  std::vector<double> settings;     // all links' settings, concatenated
  std::vector<Fluid> fluid;         // by link
  /// By link, an input for given flows only: how fast the flow rises with the content of the cell it leaves
  /// [m3/s per m3]. It takes no part in the solve; it lets the step follow a small vessel that empties fast.
  std::vector<double> content_slope_1_s;
  std::span<double> setting(const Network& network, LinkId id);
};

struct SolveReport {
  int iterations = 0;
  double worst_continuity_m3_s = 0;
  double worst_momentum_pa = 0;
};

/// Solves in place. Converged: every |continuity| <= 1e-12 m3/s and every momentum residual <= 1e-6 Pa + 1e-9 of the
/// largest pressure. Throws NumericsError naming the worst node or link, the iterations and the residual; `state` is then
/// as it was. Deterministic: the result depends on `state` (warm start included) and nothing else. No allocation after
/// the first call with the same workspace.
class NetworkWorkspace;
SolveReport solve(const Network& network, NetworkState& state, NetworkWorkspace& workspace);

class NetworkWorkspace {
public:
  NetworkWorkspace();
  ~NetworkWorkspace();
  NetworkWorkspace(NetworkWorkspace&&) noexcept;
  NetworkWorkspace& operator=(NetworkWorkspace&&) noexcept;
  struct Impl;
  std::unique_ptr<Impl> impl;
};

}  // namespace wetrun
