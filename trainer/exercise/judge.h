// Applies the rules of an exercise to a run, frame by frame, and keeps the evidence.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "trainer/exercise/records.h"
#include "trainer/exercise/rule.h"

namespace wetrun {

/// What is known of a rule so far. Plain numbers and text, so that it can be saved.
struct RuleState {
  enum class Verdict { open, met, broken };
  Verdict verdict = Verdict::open;
  std::vector<double> that_memory, start_memory;
  double start_s = -1;  // reach: the clock's start; order: when `first` came true; < 0: not yet
  double then_s = -1;   // order: when `then` came true
  double window_s = 0;  // hold, never: how long `during` has been true
  double good_s = 0;    // hold: how long `that` was true in it; never: how long it was broken
  int times = 0;        // hold, never: how often it was broken; budget: 1 once the limit is passed
  bool inside = false;  // hold, never: broken a frame ago; end_state: `that` is true
  double points = 0;    // final only
  std::vector<Evidence> evidence;
};

class Judge {
public:
  Judge(std::vector<Rule> rules, std::shared_ptr<const SignalTable> signals);

  /// What the rules look at. A signal that several look at comes several times.
  std::vector<SignalId> signals() const;
  /// Looks at the next frame. The first call is for the start of the run; `h_s` is the time since the last.
  void look(const Frame& frame, double h_s);
  /// Closes all rules at the end of the run and awards the points. `done_s`: when the operator was done.
  void close(const Frame& frame, double done_s);

  const std::vector<Rule>& rules() const { return rules_; }
  const std::vector<RuleState>& states() const { return states_; }
  bool closed() const { return closed_; }
  /// 0 to 100, of the points that could be had. After close().
  double score() const;
  /// Names of critical rules that are broken (so far).
  std::vector<std::string> critical_broken() const;
  /// Throws InputError if the sizes do not fit.
  void restore(std::vector<RuleState> states, bool closed);

private:
  void look_reach(const Rule& rule, RuleState& state, const Frame& frame);
  void look_hold(const Rule& rule, RuleState& state, const Frame& frame, double h_s);
  void look_never(const Rule& rule, RuleState& state, const Frame& frame, double h_s);
  void look_order(const Rule& rule, RuleState& state, const Frame& frame);
  void look_budget(const Rule& rule, RuleState& state, const Frame& frame);
  void close_reach(const Rule& rule, RuleState& state, const Frame& frame);
  void close_hold(const Rule& rule, RuleState& state, const Frame& frame);
  void close_order(const Rule& rule, RuleState& state, const Frame& frame);
  void close_budget(const Rule& rule, RuleState& state, const Frame& frame, double done_s);
  void close_rule(std::size_t index, const Frame& frame, double done_s);
  void cite(RuleState& state, const Condition& condition, const Frame& frame, const std::string& lead) const;
  double amount(const Rule& rule, const Frame& frame) const;

  std::vector<Rule> rules_;
  std::shared_ptr<const SignalTable> signals_;
  std::vector<RuleState> states_;
  bool closed_ = false;
};

}  // namespace wetrun
