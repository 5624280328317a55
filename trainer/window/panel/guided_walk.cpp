// The guided walk: a card that says what to do next, and a ring around where. The card stands in a corner where it covers
// neither what it points to nor, if it can be helped, what else is worked with.
#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "trainer/window/panel/marks.h"
#include "trainer/window/panel/panels.h"
#include "trainer/window/view/walk.h"

namespace wetrun::ui {
namespace {

constexpr float card_width = 306;
constexpr double rest_s = 0.9;  // "done" is shown so long before the next step

float shared(const Box& a, const Box& b) {
  const float x = std::min(a.x1, b.x1) - std::max(a.x0, b.x0), y = std::min(a.y1, b.y1) - std::max(a.y0, b.y0);
  return x > 0 && y > 0 ? x * y : 0;
}

/// The box to ring: the first of the names that is on the screen; of a name that ends in "/" all that begin so.
std::optional<Box> find_target(const Boxes& boxes, const WalkStep& step) {
  for (const std::string& name : step.where) {
    const bool open_end = name.ends_with('/') || name.ends_with('_');
    std::optional<Box> found;
    for (const LayoutBox& one : boxes.all()) {
      if (one.scrolled_out || !(open_end ? one.name.starts_with(name) : one.name == name)) continue;
      if (!found)
        found = one.box;
      else
        found = Box{std::min(found->x0, one.box.x0), std::min(found->y0, one.box.y0), std::max(found->x1, one.box.x1),
                    std::max(found->y1, one.box.y1)};
    }
    if (found) return found;
  }
  return std::nullopt;
}

class Walk {
public:
  Walk(Stage& stage, const Box& screen, GuidedWalkState& state)
      : stage_(stage), kit_(stage.kit), screen_(screen), state_(state), steps_(make_walk(stage.signals, stage.scene)) {}

  void draw() {
    if (state_.step >= steps_.size()) return;
    remember();
    judge();
    if (state_.step >= steps_.size()) return;
    const WalkStep& step = steps_[state_.step];
    const std::optional<Box> target = find_target(*kit_.boxes, step);
    const Box card = place_card(step, target);
    if (target) draw_ring(*target, card);
    draw_card(step, card);
  }

private:
  // What is remembered: the step, its pens at the beginning, whether something was poured, whether it is done.
  enum Memory : std::size_t { of_step, pens, poured, done, memory_size };

  std::size_t count_pens() const {
    std::size_t count = 0;
    for (const LayoutBox& one : kit_.boxes->all()) count += one.name.starts_with("chart/pen/") ? 1U : 0U;
    return count;
  }

  void remember() {
    const auto now = static_cast<double>(state_.step);
    if (state_.memory.size() == memory_size && state_.memory[of_step] == now) return;
    state_.memory.assign(memory_size, 0);
    state_.memory[of_step] = now;
    state_.memory[pens] = static_cast<double>(count_pens());
    state_.since_s = 0;
  }

  void judge() {
    WalkFacts facts;
    facts.frame = &stage_.frame;
    facts.paused = stage_.picture.paused;
    facts.asked_pace = stage_.picture.asked_pace;
    facts.looking_at = stage_.looking_at;
    facts.pens = count_pens();
    for (const Hands::Task& task : stage_.picture.doing)
      facts.pouring = facts.pouring || stage_.signals[task.target].motion == Motion::pour;
    WalkMemory memory{static_cast<std::size_t>(state_.memory[pens]), state_.memory[poured] > 0};
    const bool is_done = walk_step_done(steps_[state_.step], stage_.signals, facts, memory);
    state_.memory[poured] = memory.poured ? 1 : 0;
    if (is_done && state_.memory[done] == 0) {
      state_.memory[done] = 1;
      state_.since_s = kit_.wall_s;
    }
    if (state_.memory[done] > 0 && (kit_.calm || kit_.wall_s - state_.since_s >= rest_s)) go_on();
  }

  void go_on() {
    ++state_.step;
    if (state_.step >= steps_.size())
      end();
    else
      remember();
  }

  void end() {
    stage_.requests.push_back(request::Walk{false});
    if (stage_.preferences.walked) return;
    Preferences wanted = stage_.preferences;
    wanted.walked = true;
    stage_.requests.push_back(request::Prefer{wanted});
  }

  float card_height(const WalkStep& step) const {
    const float inside = kit_.px(card_width - 36);
    return kit_.px(16 + 22) + measure(kit_, Type::strong, step.title, inside).y + kit_.px(6) +
           measure(kit_, Type::body, step.text, inside).y + kit_.px(14) + kit_.font(Type::strong)->FontSize +
           kit_.px(13 + 16);
  }

  /// Corners of the drawing, of the screen and of the event line; the one where least is covered, and never the target.
  Box place_card(const WalkStep& step, const std::optional<Box>& target) const {
    const float wide = kit_.px(card_width), high = card_height(step), edge = kit_.px(12);
    std::vector<Box> places;
    const auto corners = [&](const Box& area) {
      for (const bool bottom : {true, false})
        for (const bool right : {false, true}) {
          const float x = right ? area.x1 - edge - wide : area.x0 + edge;
          const float y = bottom ? area.y1 - edge - high : area.y0 + edge;
          const float x0 = std::round(between(x, screen_.x0 + edge, screen_.x1 - edge - wide));
          const float y0 = std::round(between(y, screen_.y0 + edge, screen_.y1 - edge - high));
          places.push_back({x0, y0, x0 + wide, y0 + high});
        }
    };
    for (const char* name : {"events", "skid"})
      if (const LayoutBox* region = kit_.boxes->find(name)) corners(region->box);
    Box free = screen_;
    if (const LayoutBox* bar = kit_.boxes->find("time")) free.y0 = bar->box.y1;
    corners(free);
    const Box* best = &places.front();
    float least = 1e30F;
    for (const Box& one : places) {
      const float cost = cost_of(one, target);
      if (cost >= least) continue;
      least = cost;
      best = &one;
    }
    return *best;
  }

  float cost_of(const Box& card, const std::optional<Box>& target) const {
    float cost = target ? 1e4F * shared(card, target->grown(kit_.px(24))) : 0;
    for (const LayoutBox& other : kit_.boxes->all()) {
      if (other.scrolled_out || !other.layer.empty()) continue;
      float weight = 1;
      if (other.kind == BoxKind::region) weight = other.name == "chart/plot" || other.name == "closeup" ? 2.0F : 0.0F;
      if (other.kind == BoxKind::button || other.name.starts_with("closeup/")) weight = 6;
      if (other.name.starts_with("events/")) weight = 0.2F;
      cost += weight * shared(card, other.box);
    }
    return cost;
  }

  void draw_ring(const Box& target, const Box& card) const {
    ImDrawList& list = *ImGui::GetForegroundDrawList();
    const float beat = kit_.calm ? 0.5F : 0.5F + 0.5F * static_cast<float>(std::sin(kit_.wall_s * 3.6));
    const Box ring = target.grown(kit_.px(6));
    const float round = std::min(kit_.px(8), 0.5F * std::min(ring.width(), ring.height()));
    list.AddRect({ring.x0, ring.y0}, {ring.x1, ring.y1}, kit_.colour.hand, round, 0, kit_.px(2.4F));
    const Box halo = ring.grown(kit_.px(2.5F + 3 * beat));
    list.AddRect({halo.x0, halo.y0}, {halo.x1, halo.y1}, fade(kit_.colour.hand, 0.42F - 0.25F * beat),
                 round + kit_.px(4), 0, kit_.px(2.2F));
    // A thin leader from the card to the ring.
    const Point from{std::clamp(ring.middle().x, card.x0, card.x1), std::clamp(ring.middle().y, card.y0, card.y1)};
    const Point to{std::clamp(from.x, ring.x0, ring.x1), std::clamp(from.y, ring.y0, ring.y1)};
    const float apart = std::hypot(to.x - from.x, to.y - from.y);
    if (apart > kit_.px(12) && apart < kit_.px(260)) {
      list.AddLine(vec(from), vec(to), fade(kit_.colour.hand, 0.75F), kit_.px(1.3F));
      list.AddCircleFilled(vec(to), kit_.px(3), kit_.colour.hand, 20);
    }
  }

  void draw_card(const WalkStep& step, const Box& card) {
    kit_.boxes->push_layer("walk");
    begin_panel(kit_, "walk", card);
    ImDrawList& list = *ImGui::GetWindowDrawList();
    const float side = kit_.px(18), inside = card.width() - 2 * side;
    float y = card.y0 + kit_.px(16);
    put_text(kit_, list, Type::small, {card.x0 + side, y}, kit_.colour.ink_soft,
             fmt::format("Guided walk, {} of {}", state_.step + 1, steps_.size()), Align::left, "walk/count");
    draw_progress(list, {card.x1 - side - kit_.px(90), y + kit_.px(6), card.x1 - side, y + kit_.px(9)});
    y += kit_.px(22);
    put_text(kit_, list, Type::strong, {card.x0 + side, y}, kit_.colour.ink, step.title, Align::left, "walk/title",
             inside);
    y += measure(kit_, Type::strong, step.title, inside).y + kit_.px(6);
    put_text(kit_, list, Type::body, {card.x0 + side, y}, kit_.colour.ink, step.text, Align::left, "walk/text", inside);
    y += measure(kit_, Type::body, step.text, inside).y + kit_.px(14);
    ImGui::SetCursorScreenPos({card.x0 + side, y});
    if (state_.memory[done] > 0) {
      const float line = kit_.font(Type::strong)->FontSize;
      draw_tick(list, {card.x0 + side + kit_.px(7), y + line / 2 + kit_.px(6)}, kit_.px(14), kit_.colour.lamp_run,
                kit_.px(2.4F));
      put_text(kit_, list, Type::strong, {card.x0 + side + kit_.px(22), y + kit_.px(6)}, kit_.colour.lamp_run, "Done",
               Align::left, "walk/done");
      ImGui::Dummy({inside, line + kit_.px(13)});
    } else {
      draw_buttons(step, card, y);
    }
    end_panel(kit_);
    kit_.boxes->pop_layer();
  }

  void draw_buttons(const WalkStep& step, const Box& card, float y) {
    const bool last = state_.step + 1 == steps_.size();
    const float side = kit_.px(18);
    if (step.until == WalkStep::Until::read) {
      if (button(kit_, "walk/next", last ? "Finish" : "Next", Weight::main)) go_on();
    } else {
      ImGui::SetCursorScreenPos({card.x0 + side - kit_.px(8), y});
      if (button(kit_, "walk/skip", "Skip step", Weight::quiet)) go_on();
    }
    if (last) return;
    const float wide = measure(kit_, Type::strong, "End walk").x + kit_.px(16);
    ImGui::SetCursorScreenPos({card.x1 - side - wide + kit_.px(8), y});
    if (button(kit_, "walk/end", "End walk", Weight::quiet)) end();
  }

  void draw_progress(ImDrawList& list, const Box& box) const {
    const float share = static_cast<float>(state_.step) / static_cast<float>(steps_.size());
    list.AddRectFilled({box.x0, box.y0}, {box.x1, box.y1}, kit_.colour.sheet_shade, kit_.px(1.5F));
    list.AddRectFilled({box.x0, box.y0}, {box.x0 + share * box.width(), box.y1}, kit_.colour.hand, kit_.px(1.5F));
  }

  Stage& stage_;
  Kit& kit_;
  const Box screen_;
  GuidedWalkState& state_;
  std::vector<WalkStep> steps_;
};

}  // namespace

void guided_walk(Stage& stage, const Box& screen, GuidedWalkState& state) { Walk(stage, screen, state).draw(); }

}  // namespace wetrun::ui
