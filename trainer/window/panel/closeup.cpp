// The close-up: one thing of the skid from near, with all that hands can do to it and eyes can read on it.
//
// Names in the Boxes log, the same for every control everywhere (<signal> as in the signal table, "pump.vent"):
//   closeup/title, closeup/away                  what it is; step back
//   closeup/<signal>/handle                      the drawn lever, wheel, dial or switch: drag, mouse wheel, keys; a drawn
//                                                switch is clicked
//   closeup/<signal>/shut, /open, /exact         ramps: buttons for the ends, typed value (Enter); a dial has /exact only
//   closeup/<signal>/off, /on                    switches: one button for each place, always both
//   closeup/<signal>/at0, /at1, ...              selectors: one for each place, from min
//   closeup/<signal>/press                       actions
//   closeup/<signal>/pick                        chemicals: choose; then .../exact (kilograms) and .../pour
//   closeup/drop                                 let go of what the hands are doing
//   closeup/<signal>/title, /value               words of a reading or a row
//   closeup/tab/<word>                           a tank's pages
#include <fmt/format.h>

#include <cmath>

#include "trainer/window/panel/closeup_card.h"

namespace wetrun::ui {
using namespace art;
namespace {

void header(Card& card, const Box& place) {
  const Palette& c = card.c;
  const std::string away = "Step back";
  const float wide = measure(card.kit, Type::strong, away).x + card.px(16);
  const float title_px = card.kit.font(Type::title)->FontSize, small_px = card.kit.font(Type::small)->FontSize;
  const float top = place.y0;
  if (card.push_button("closeup/away", away,
                       {place.x1 - wide + card.px(8), top - card.px(5), place.x1 + card.px(8), top}, Weight::quiet,
                       true))
    card.stage.requests.push_back(request::Look{""});
  std::string title = card.item.label.empty() ? card.item.unit : card.item.label;
  if (title[0] >= 'a' && title[0] <= 'z') title[0] = static_cast<char>(title[0] - 'a' + 'A');
  const float room = place.width() - wide;
  if (!card.item.tag.empty())
    card.words(Type::small, {place.x0, top}, c.ink_soft, card.item.tag, Align::left, "closeup/tag");
  const Type type = measure(card.kit, Type::title, title).x > (card.item.tag.empty() ? room : place.width())
                        ? Type::strong
                        : Type::title;
  card.words(type, {place.x0, top + small_px + card.px(1) + (title_px - card.kit.font(type)->FontSize) / 2}, c.ink,
             title, Align::left, "closeup/title");
}

/// What the hands are doing, how far they are, and letting go of it.
void footer(Card& card, const Box& place) {
  const Palette& c = card.c;
  const Picture& picture = card.stage.picture;
  const float small_px = card.kit.font(Type::small)->FontSize;
  card.list->AddRectFilled({place.x0, place.y0}, {place.x1, place.y0 + std::max(1.0F, std::round(card.px(0.8F)))},
                           c.rule);
  const Hands::Task* doing = nullptr;
  for (const Hands::Task& task : picture.doing)
    if (task.actor == Actor::hands && !task.release && !doing) doing = &task;
  const float text_y = place.y0 + card.px(9);
  if (!card.can()) {
    card.words(Type::small, {place.x0, text_y}, c.ink_soft, card.why_not(), Align::left, "closeup/why_not",
               place.width());
    return;
  }
  if (doing == nullptr) {
    const bool waits = !card.state.sent.empty() && picture.paused &&
                       std::any_of(card.controls.begin(), card.controls.end(),
                                   [&](const ControlFace& face) { return card.pending(face) != nullptr; });
    card.words(Type::small, {place.x0, text_y}, c.ink_soft,
               waits ? "Time stands still: it will be done when time goes on." : "Your hands are free.", Align::left,
               "closeup/hands");
    return;
  }
  const SignalInfo& row = card.stage.signals[doing->target];
  const std::string unit = row.name.substr(0, row.name.find('.'));
  const Item* at = card.stage.scene.find(unit);
  std::string words = row.name;
  Item nowhere;
  nowhere.unit = unit;
  for (const ControlFace& face : controls_of(at ? *at : nowhere, card.stage.signals))
    if (face.id == doing->target) words = task_words(face, row, at ? at->label : unit, doing->asked);
  const float button = measure(card.kit, Type::strong, "Drop it").x + card.px(20);
  const float room = place.width() - button - card.px(10);
  const double left_s = std::max(0.0, doing->total_s - doing->done_s);
  std::string after = duration_words(std::ceil(left_s)) + " left";
  if (!picture.waiting.empty()) after += fmt::format(", {} more to do", picture.waiting.size());
  while (words.size() > 8 && measure(card.kit, Type::small, words).x > room) {
    words.erase(words.size() - 4);
    words += "…";
  }
  card.words(Type::small, {place.x0, text_y - card.px(2)}, c.ink, words, Align::left, "closeup/hands");
  const float bar_y = text_y + small_px + card.px(1.5F), bar_w = room * 0.48F;
  const auto share = static_cast<float>(doing->total_s > 0 ? std::clamp(doing->done_s / doing->total_s, 0.0, 1.0) : 0);
  const float mid = bar_y + small_px / 2, half = card.px(2.5F);
  card.list->AddRectFilled({place.x0, mid - half}, {place.x0 + bar_w, mid + half}, c.sheet_shade, half);
  card.list->AddRectFilled({place.x0, mid - half}, {place.x0 + std::max(2 * half, bar_w * share), mid + half}, c.hand,
                           half);
  if (measure(card.kit, Type::small, after).x < room - bar_w - card.px(8))
    card.words(Type::small, {place.x0 + bar_w + card.px(8), bar_y}, c.ink_soft, after, Align::left, "closeup/left");
  const std::optional<request::Move> drop = drop_it(card.stage.signals, picture);
  const float high = measure(card.kit, Type::strong, "D").y + card.px(13);
  if (card.push_button("closeup/drop", "Drop it", {place.x1 - button, text_y - card.px(3), place.x1, text_y + high},
                       Weight::normal, drop.has_value()) &&
      drop) {
    card.state.sent.clear();
    card.state.held.clear();
    card.stage.requests.push_back(*drop);
  }
}

void body(Card& card) {
  switch (card.item.kind) {
    case ItemKind::lever_valve:
    case ItemKind::wheel_valve:
      return closeup_valve(card);
    case ItemKind::gauge:
      return closeup_gauge(card);
    case ItemKind::flow_meter:
      return closeup_flow_meter(card);
    case ItemKind::thermometer:
      return closeup_thermometer(card);
    case ItemKind::tank:
      return closeup_tank(card);
    case ItemKind::pump:
      return closeup_pump(card);
    case ItemKind::filter:
      return closeup_filter(card);
    case ItemKind::electrode:
    case ItemKind::sample_point:
      return closeup_electrode(card);
    case ItemKind::cabinet:
      return closeup_cabinet(card);
    case ItemKind::stack:
      return closeup_stack(card);
    case ItemKind::array:
      return closeup_array(card);
    case ItemKind::strainer:
      return closeup_strainer(card);
    case ItemKind::joint:
      return closeup_joint(card);
    case ItemKind::hose:
      return closeup_hose(card);
    case ItemKind::return_hose:
      return closeup_return_hose(card);
    case ItemKind::sewer:
      return closeup_sewer(card);
    case ItemKind::supply:
      return closeup_supply(card);
    case ItemKind::other:
      return;
  }
}

}  // namespace

void closeup(Stage& stage, const Box& place, CloseupState& state) {
  Kit& kit = stage.kit;
  const Item* item = stage.scene.find(stage.looking_at);
  const bool fresh = state.unit != stage.looking_at;
  if (fresh) {
    const std::size_t tab = state.unit.empty() ? state.tab : 0;
    if (const Item* before = stage.scene.find(state.unit)) Card(stage, state, *before).send_steps(true);
    state = CloseupState{};
    state.unit = stage.looking_at;
    state.tab = tab;
  }
  begin_panel(kit, "closeup", place, "");
  if (item == nullptr) {
    text(kit, Type::body, "There is no such thing here.", kit.colour.ink_soft, "closeup/title");
    end_panel(kit);
    return;
  }
  if (fresh) ImGui::SetWindowFocus();
  Card card(stage, state, *item);
  const ImVec2 pad = ImGui::GetStyle().WindowPadding;
  const Box inner{place.x0 + pad.x, place.y0 + pad.y, place.x1 - pad.x, place.y1 - pad.y};
  const float head = kit.font(Type::small)->FontSize + kit.font(Type::title)->FontSize + kit.px(9);
  const float foot = kit.px(9) + 2 * kit.font(Type::small)->FontSize + kit.px(2);
  card.list = ImGui::GetWindowDrawList();
  header(card, inner);

  const Box middle{inner.x0, inner.y0 + head, inner.x1, inner.y1 - foot - kit.px(4)};
  // The body may be wider than its column by the padding, so that shadows and the scroll bar have their place.
  ImGui::SetCursorScreenPos({middle.x0 - pad.x, middle.y0});
  ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, ImVec2(0, 0));
  ImGui::PushStyleColor(ImGuiCol_ChildBg, IM_COL32(0, 0, 0, 0));
  ImGui::BeginChild("body", {middle.width() + 2 * pad.x, middle.height()}, false, ImGuiWindowFlags_NoNavInputs);
  card.list = ImGui::GetWindowDrawList();
  const float top = ImGui::GetCursorScreenPos().y;
  card.x0 = middle.x0;
  card.x1 = middle.x1;
  card.y = top + kit.px(2);
  card.bottom = top + middle.height();
  body(card);
  card.rest();
  card.send_steps(false);
  ImGui::SetCursorScreenPos({middle.x0, card.y - kit.px(4)});
  ImGui::Dummy({1, 1});
  soft_edges(kit);
  ImGui::EndChild();
  ImGui::PopStyleColor();
  ImGui::PopStyleVar();

  card.list = ImGui::GetWindowDrawList();
  footer(card, {inner.x0, inner.y1 - foot, inner.x1, inner.y1});
  end_panel(kit);
}

}  // namespace wetrun::ui
