package app.sidelong.screens

import android.content.Context
import android.view.View
import app.sidelong.widgets.Ink

/** Every screen by the name of its page, and the view that shows it. A new screen is a line in each list. */
object Screens {
    val all: Map<String, (Desk, Page) -> Screen> = mapOf(
        Names.JOBS to ::JobsScreen,
        Names.NEW_JOB to ::NewJobScreen,
        Names.JOB to ::JobScreen,
        Names.WALK to ::WalkScreen,
        Names.HOW to ::HowScreen,
        Names.COULD_NOT_SEE to ::CouldNotSeeScreen,
        Names.PLACES to ::PlacesScreen,
        Names.MARK to ::MarkScreen,
        Names.FEEL to ::FeelScreen,
        Names.THICKNESS to ::ThicknessScreen,
        Names.PHOTO to ::PhotoScreen,
        Names.OWNER to ::OwnerScreen,
        Names.REPORT to ::ReportScreen,
        Names.JOIN to ::JoinScreen,
        Names.PHONE to ::PhoneScreen,
        Names.LOOK to ::LookScreen,
        Names.LOOK_HOW to ::LookHowScreen,
        Names.SEEN to ::SeenScreen,
        Names.SUN to ::SunScreen,
        Names.SPOTS to ::SpotsScreen,
        Names.FIND_SPOT to ::FindSpotScreen,
        Names.SPOT to ::SpotScreen,
        Names.CLOCKS to ::ClocksScreen,
        Names.LAYER to ::LayerScreen,
        Names.CONDITIONS to ::ConditionsScreen,
        Names.SHEETS to ::SheetsScreen,
        Names.SHEET to ::SheetScreen,
        Names.LOT to ::LotScreen,
        Names.LOTS to ::LotsScreen,
        Names.AFTERCARE to ::AftercareScreen,
        Names.SURFACES to ::SurfacesScreen,
        Names.SURFACE to ::SurfaceScreen,
        Names.WHICH_SURFACE to ::WhichSurfaceScreen,
        Names.WORK to ::WorkScreen,
        Names.STEP to ::StepScreen,
        Names.WHICH_STEP to ::WhichStepScreen,
        Names.REFUSED to ::RefusedScreen,
        Names.TRY_SQUARE to ::TrySquareScreen,
        Names.SQUARE to ::SquareScreen,
        Names.LOWEST to ::LowestScreen,
        Names.PLAN to ::PlanScreen,
        Names.CLOTHS to ::ClothsScreen,
        Names.SHOP to ::ShopScreen,
    )

    fun open(desk: Desk, page: Page): Screen = all.getValue(page.name)(desk, page)

    /** The view of a screen. `lock` puts the wet lock on. */
    fun view(context: Context, ink: Ink, screen: Screen, lock: () -> Unit): View = when (screen) {
        is JobsScreen -> JobsView(context, ink, screen, lock)
        is NewJobScreen -> NewJobView(context, ink, screen, lock)
        is JobScreen -> JobPageView(context, ink, screen, lock)
        is WalkScreen -> WalkView(context, ink, screen, lock)
        is ChoiceScreen -> ChoiceView(context, ink, screen, lock)
        is MarkScreen -> MarkView(context, ink, screen, lock)
        is FeelScreen -> FeelPageView(context, ink, screen, lock)
        is ThicknessScreen -> ThicknessPageView(context, ink, screen, lock)
        is PhotoScreen -> PhotoPageView(context, ink, screen, lock)
        is OwnerScreen -> OwnerView(context, ink, screen, lock)
        is ReportScreen -> ReportView(context, ink, screen, lock)
        is JoinScreen -> JoinPageView(context, ink, screen, lock)
        is PhoneScreen -> PhoneView(context, ink, screen, lock)
        is LookScreen -> LookPageView(context, ink, screen, lock)
        is SeenScreen -> SeenView(context, ink, screen, lock)
        is SunScreen -> SunView(context, ink, screen, lock)
        is SpotsScreen -> SpotsView(context, ink, screen, lock)
        is FindSpotScreen -> FindSpotView(context, ink, screen, lock)
        is SpotScreen -> SpotPageView(context, ink, screen, lock)
        is ClocksScreen -> ClocksPageView(context, ink, screen, lock)
        is LayerScreen -> LayerPageView(context, ink, screen, lock)
        is ConditionsScreen -> ConditionsPageView(context, ink, screen, lock)
        is SheetsScreen -> SheetsView(context, ink, screen, lock)
        is SheetScreen -> SheetPageView(context, ink, screen, lock)
        is LotScreen -> LotPageView(context, ink, screen, lock)
        is LotsScreen -> LotsPageView(context, ink, screen, lock)
        is AftercareScreen -> AftercarePageView(context, ink, screen, lock)
        is SurfacesScreen -> SurfacesPageView(context, ink, screen, lock)
        is SurfaceScreen -> SurfacePageView(context, ink, screen, lock)
        is WorkScreen -> WorkPageView(context, ink, screen, lock)
        is StepScreen -> StepPageView(context, ink, screen, lock)
        is RefusedScreen -> RefusedPageView(context, ink, screen, lock)
        is TrySquareScreen -> TrySquareView(context, ink, screen, lock)
        is SquareScreen -> SquarePageView(context, ink, screen, lock)
        is LowestScreen -> LowestView(context, ink, screen, lock)
        is PlanScreen -> PlanPageView(context, ink, screen, lock)
        is ClothsScreen -> ClothsView(context, ink, screen, lock)
        is ShopScreen -> ShopView(context, ink, screen, lock)
        else -> error("no view for ${screen.page.name}")
    }
}
