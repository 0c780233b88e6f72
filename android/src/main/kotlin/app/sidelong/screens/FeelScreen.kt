package app.sidelong.screens

import sidelong.core.*

/** A feel test of the place where the person stands: with what, what reacted, then what was felt, which saves. */
class FeelScreen(desk: Desk, page: Page) : Screen(desk, page) {
    val panelName get() = panelName(about("panel"), desk.language)
    val methods get() = FeelMethod.entries.map { it to it.text(desk.language) }
    val levels get() = FeelLevel.entries.map { it to it.text(desk.language) }
    val reactions get() = Reaction.entries.map { it to it.text(desk.language) }
    val method get() = FeelMethod.entries.firstOrNull { it.name == (typed("method") ?: desk.settings["feel"]) }
    val reacted: Set<Reaction> get() = Reaction.entries.filter { it.name in (typed("reacted") ?: "").split(' ') }.toSet()

    /** How much of the place is felt, where a step that comes next asks for it. */
    val on get() = Area.entries.firstOrNull { it.name == page.about["on"] }

    val onText get() = on?.text(desk.language)

    /** True when the level was touched before it was said with what it was felt. */
    var methodMissing = false
        private set

    override fun look() = changed()

    /** The method stays chosen for the next place. */
    fun method(method: FeelMethod) {
        methodMissing = false
        desk.settings["feel"] = method.name
        type("method", method.name)
    }

    fun reacted(reaction: Reaction) {
        val now = if (reaction in reacted) reacted - reaction else reacted + reaction
        type("reacted", now.joinToString(" ") { it.name })
    }

    fun level(level: FeelLevel) {
        val method = method
        if (method == null) { methodMissing = true; return changed() }
        val felt = RecordFeel(panel = about("panel"), method = method, level = level, reacted = Reaction.entries.filter { it in reacted }, on = on)
        desk.record(page, about("job"), Act.RecordFeel(felt)) {
            if (desk.below(page)?.name == Names.SURFACES) desk.back() else desk.backTo(Names.WALK)
        }
    }
}
