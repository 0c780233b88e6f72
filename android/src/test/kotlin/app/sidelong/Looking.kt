package app.sidelong

import app.sidelong.screens.LookScreen
import app.sidelong.screens.Names
import sidelong.core.BodyForm
import sidelong.core.Language
import sidelong.core.Spot
import sidelong.core.drawnAt
import sidelong.core.standDrawn
import sidelong.core.standNamed

// What every test of a look does with its hand.

/** The job of the walk that lies below. */
val Phone.walkJob: String get() = screen.page.about.getValue("job")

/** Goes to a place, and opens the look under a light there. */
fun Phone.lookAt(panel: String) {
    goTo(panel)
    touch(activity.getString(R.string.light))
    check(screen.page.name == Names.LOOK)
}

/** A touch on the drawing that is shown, at a point in its units. */
fun Phone.touchGround(x: Float, y: Float) {
    scrollTo(car)
    val (px, py) = onGlass(x, y)
    touch(px, py)
}

/** The first of the two touches: beside a panel. */
fun Phone.standsBeside(panel: String, form: BodyForm = BodyForm.SALOON) {
    val at = standDrawn(form, standNamed(form, panel, Language.EN_GB)!!.at)
    touchGround(at.x, at.y)
}

/** The second one: a place of a panel. */
fun Phone.touchPanel(panel: String, at: Spot, form: BodyForm = BodyForm.SALOON) {
    val point = drawnAt(form, (screen as LookScreen).side, panel, at)!!
    touchGround(point.x, point.y)
}
