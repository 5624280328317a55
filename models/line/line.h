// Runs of pipe and hose as chains of mixed cells, and hoses that can be put on the wrong port.
//
// Line: pipe law (pipe_law.h) and N equal cells in series holding its volume V, so that a change travels with the
//   flow q and blurs:  mean residence V/q, variance (V/q)^2/N                               (Levenspiel 1999, ch. 14)
//   N by itself: one cell for each 10 litres, 1 to 8. Real turbulent pipes are sharper (axial dispersion number
//   D/(u d) about 0.2 gives N = L/(0.4 d), Levenspiel 1999, ch. 13): the front is too blunt by sqrt(N_real/N); key
//   `cells` sharpens it at a cost in speed. Heat loss: UA (T - T_air), 1.2 W/K a metre for bare plastic pipe in still
//   air (5 to 10 W/m2/K, common practice).
// Hose: pipe law plus a quick coupling (valve law, ball, Kv 60 m3/h) on each of two ports; at most one is open. When
//   the fault `wrong_port` rises, the present or next connection is at `wrong_to`, until the hose is taken off.
//   Uncoupled ports are self-sealing.
// Twitch: how much a hose is seen to stiffen and move. Where it bends by 90 degrees the stream pushes it with
//   F = sqrt(2) rho A v^2 (momentum), against the weight of a metre of the filled hose W = rho A g 1 m:
//   twitch = F/(F + W) = v^2/(v^2 + g 1 m/sqrt(2)):  0.1 at 0.9 m/s, 0.5 at 2.6 m/s. The metre is invented for the demo.
// Tests: models/verify/mixing.cpp, tests/unit/skid_rig_test.cpp.
//
// Skid-file keys
//   line  from, to, length, diameter, roughness (m), fittings (sum of K), cells, heat_loss (W/K); link "<unit>.pipe"
//   hose  from, to, wrong_to, length, diameter, roughness, fittings, action (s), connected (0, 1, 2)
#pragma once
#include "models/line/pipe_law.h"
#include "models/valve/valve.h"

namespace wetrun {

class Line final : public LinkUnit {
public:
  Line(std::string link, std::vector<CellId> cells, double heat_loss_w_k, double ambient_k);
  void rates(const World& world, const OwnNumbers& own, const Rates& rates) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;
  void holdings(const OwnNumbers& own, const Holdings& held) const override;

private:
  std::vector<CellId> cells_;
  double heat_loss_w_k_, ambient_k_;
};

/// 0 slack and still, towards 1 stiff and jumping.
double hose_twitch(double flow_m3_s, double diameter_m);

/// A pipe that a coupling can shut. Settings: {opening 0..1}.
class CoupledPipeLaw final : public LinkLaw {
public:
  CoupledPipeLaw(const PipeSpec& pipe, double coupling_kv_m3_h);
  LinkEval eval(double flow_m3_s, double p_a_pa, const Fluid& fluid, std::span<const double> settings) const override;
  bool gradual() const override { return true; }
  std::vector<double> default_settings() const override { return {0.0}; }

private:
  PipeLaw pipe_;
  std::shared_ptr<const LinkLaw> coupling_;
};

class Hose final : public Unit {
public:
  Hose(std::string right_link, std::string wrong_link, double diameter_m, double action_s, int connected);
  const UnitInfo& info() const override { return info_; }
  void bind(const Directory& directory) override;
  void decide(const World& world, const Decision& decision) const override;
  void condition(const World& world, const OwnNumbers& own, const Network& network, NetworkState& state) const override;
  void observe(const World& world, const OwnNumbers& own, std::span<double> readings) const override;

private:
  std::string right_name_, wrong_name_;
  double diameter_m_;
  UnitInfo info_;
  LinkId right_, wrong_;
};

/// Cells of a run of pipe, named "<name>.1", ...; `count` 0 chooses.
std::vector<CellId> add_pipe_cells(UnitRequest& request, const std::string& name, double volume_m3, int count);
/// Reads length, diameter, roughness, fittings.
PipeSpec read_pipe(const Table& table);

void register_line(UnitRegistry& registry);
void register_hose(UnitRegistry& registry);

}  // namespace wetrun
