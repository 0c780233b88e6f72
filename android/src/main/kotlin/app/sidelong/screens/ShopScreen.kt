package app.sidelong.screens

import sidelong.core.*

/** How the shop works: the floor, what may come off, which remover comes first, and the crew's own names of its cloth zones. */
class ShopScreen(desk: Desk, page: Page) : Screen(desk, page) {
    private var shop: Shop? = null
    val known get() = shop != null
    val firsts get() = listOf(Step.TAR_REMOVER, Step.IRON_REMOVER).map { it to it.text(desk.language) }
    val first get() = typed(FIRST)?.let { said -> firsts.map { it.first }.firstOrNull { it.name == said } } ?: shop?.chemicalFirst.takeIf { typed(FIRST) == null }
    val uses get() = ZoneUse.entries.map { it to it.text(desk.language) }

    /** True after it was saved. */
    var saved = false
        private set

    /** True when a number is none. */
    var wrong = false
        private set

    override fun look() = desk.ask({ core -> core.shop() }) { shop = it; changed() }

    val floor get() = typed(FLOOR) ?: shop?.floorUm?.toString() ?: ""
    val budget get() = typed(BUDGET) ?: shop?.budgetUm?.toString() ?: ""

    /** The zone to which a use belongs, as the crew calls it. */
    fun zone(use: ZoneUse): String = typed(ZONE + use.name) ?: shop?.zones?.firstOrNull { use in it.uses }?.name ?: use.text(desk.language)

    fun first(step: Step) = type(FIRST, if (first == step) NONE else step.name)

    fun write(name: String, text: String) {
        saved = false
        page.typed[name] = text
        desk.keep()
    }

    fun save() {
        val numbers = listOf(floor, budget).map { it.trim() }
        wrong = numbers.any { it.isNotEmpty() && it.toUIntOrNull() == null }
        if (wrong) return changed()
        // Uses under one name are one zone, at the place of its cleanest use.
        val zones = ZoneUse.entries.groupBy { zone(it).replace('\n', ' ').trim().ifEmpty { it.text(desk.language) } }.map { (name, uses) -> Zone(name, uses) }
        val own = zones.takeIf { all -> shop?.zones?.isNotEmpty() == true || all.any { it.uses.size > 1 || it.name != it.uses.first().text(desk.language) } }
        val said = Shop(numbers[0].toUIntOrNull(), numbers[1].toUIntOrNull(), first, own ?: emptyList())
        desk.ask({ core -> core.describeShop(said) }) {
            page.typed.clear()
            desk.keep()
            saved = true
            look()
        }
    }

    companion object {
        const val FLOOR = "floor"
        const val BUDGET = "budget"
        const val ZONE = "zone "
        private const val FIRST = "first"
        private const val NONE = "none"
    }
}
