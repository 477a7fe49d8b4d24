app_name = "workshop"
urlpatterns = []
