package app.sidelong.screens

import sidelong.core.*

/** One question of a choice screen: its answers, and which one is chosen. `title` is its text where the core has one. */
class Question(val name: String, val answers: List<Pair<String, String>>, val chosen: String?, val title: String? = null)

/** A screen of one or a few questions with short answers. */
abstract class ChoiceScreen(desk: Desk, page: Page) : Screen(desk, page) {
    abstract val questions: List<Question>

    /** Whether it is answered on the walk, in gloves. */
    open val gloves = true
    abstract fun answer(question: String, answer: String)
    override fun look() = changed()
}

/** How the places are being looked at from here on. What is not said is unknown, and unknown counts as not seen. */
class HowScreen(desk: Desk, page: Page) : ChoiceScreen(desk, page) {
    private val walk get() = desk.below(page)

    override val questions: List<Question> get() = listOf(
        Question(DISTANCE, Distance.entries.map { it.name to it.text(desk.language) }, walk?.about?.get(DISTANCE)),
        Question(LIGHT, Light.entries.map { it.name to it.text(desk.language) }, walk?.about?.get(LIGHT)),
        Question(SURFACE, Surface.entries.map { it.name to it.text(desk.language) }, walk?.about?.get(SURFACE)),
    )

    override fun answer(question: String, answer: String) {
        val about = walk?.about ?: return
        if (about[question] == answer) about.remove(question) else about[question] = answer
        desk.keep()
        changed()
    }

    companion object {
        const val DISTANCE = "distance"
        const val LIGHT = "light"
        const val SURFACE = "surface"
    }
}

/** Why a place could not be seen: one touch, and on to the next place. */
class CouldNotSeeScreen(desk: Desk, page: Page) : ChoiceScreen(desk, page) {
    val panelName get() = panelName(about("panel"), desk.language)
    override val questions: List<Question> get() = listOf(Question("why", Why.entries.map { it.name to it.text(desk.language) }, null))

    override fun answer(question: String, answer: String) {
        val walk = desk.below(page)
        val outcome = RecordOutcome(panel = about("panel"), outcome = Outcome.COULD_NOT_SEE, why = Why.valueOf(answer))
        desk.record(page, about("job"), Act.RecordOutcome(outcome)) { changes ->
            WalkScreen.made(walk, changes, WalkScreen.Said.COULD_NOT_SEE)
            walk?.about?.set("at", about("next"))
            desk.back()
        }
    }
}

/** Every place by its name, side by side with what is on record of it: one touch goes there. */
class PlacesScreen(desk: Desk, page: Page) : ChoiceScreen(desk, page) {
    private var places: List<PlaceNow> = emptyList()
    override val gloves = false
    override val questions: List<Question> get() = places.groupBy { it.side }.map { (side, there) ->
        val title = side?.text(desk.language) ?: Scope.INSIDE.text(desk.language)
        Question(title, there.map { it.panel to "${it.name}: ${it.text}" }, desk.below(page)?.about?.get("at"), title)
    }

    override fun look() {
        val (job, language) = about("job") to desk.language
        val corner = desk.settings.corner
        desk.ask({ core -> core.walk(job, corner, null, null, language).places }) { places = it; changed() }
    }

    override fun answer(question: String, answer: String) {
        desk.below(page)?.about?.set("at", answer)
        desk.back()
    }
}
